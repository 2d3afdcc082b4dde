"""The kitchen: from a share to jars, the lots that are put up, and where each jar is."""
