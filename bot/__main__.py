"""`python -m bot` is the same as the command `potside`."""

from bot.cli import main

if __name__ == "__main__":
    main()
