"""Asfitted: from one build description to one set of documents.

The packages form a pipeline without a way back: description, network, studies, figures, chapters, publish.
"""

__version__ = "0.1.0"
