"""The demo co-op: a season of invented buys, played through the acts that people use."""
