"""Many Larders: households that buy farm produce together, divide it and square up."""
