"""``python -m watervane``."""

from watervane.bootstrap import main

if __name__ == "__main__":
    main()
