"""For each chapter: which results its page shows. The prose is in site_src/pages."""
