"""Services: everything that writes. Each is called with keywords, checks what it is given and leaves nothing half done."""
