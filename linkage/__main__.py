"""``python -m linkage`` is the command ``noseleg``."""

from linkage.cli import main

if __name__ == "__main__":
    main()
