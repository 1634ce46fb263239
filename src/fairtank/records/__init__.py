"""What is kept: trial folders on disk, and the rows behind the pages."""
