"""The MkDocs side: hands finished pages to MkDocs. The only package here that imports it."""
