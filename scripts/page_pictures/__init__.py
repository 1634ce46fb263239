"""The pictures of the pages: which there are, the shelf that they show, and how they are taken."""
