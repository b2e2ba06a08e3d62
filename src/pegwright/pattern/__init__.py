"""The finished pattern as a document, and how it is built from proved sizes."""
