"""The open document as the window sees it, and what works on its behalf."""
