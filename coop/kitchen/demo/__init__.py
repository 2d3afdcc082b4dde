"""The demo: a season of buys, and of what is made of them, played through the acts of people."""
