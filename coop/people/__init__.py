"""Co-ops, households, members, invitations, and who may do what."""
