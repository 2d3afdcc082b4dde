"""Empty jars: who lends to whom, so that most needs are met on the shortest round."""

from coop.core.jars.match import MOST, JarMatch, Move, match_spares

__all__ = ["MOST", "JarMatch", "Move", "match_spares"]
