"""`python -m fairtank.cli` is the fairtank command."""

from fairtank.cli.main import main

if __name__ == "__main__":  # worker processes import this file under another name
    main()
