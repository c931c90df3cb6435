"""Asfitted: from one build description to one set of documents.

The packages form a pipeline without a way back: description, network, studies, figures, chapters, publish.
"""

import os

# Threaded linear algebra on small matrices costs far more than it gains; this counts only if numpy is not loaded yet.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
