"""The bot as a whole, over real HTTP on the loopback interface."""
