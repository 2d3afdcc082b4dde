"""Tables of notices."""

from coop.notices.models.choices import Choice, Wishes, new_secret
from coop.notices.models.mails import Mail
from coop.notices.models.matters import Matter
from coop.notices.models.notices import Notice
from coop.notices.models.writings import Writing

__all__ = ["Choice", "Mail", "Matter", "Notice", "Wishes", "Writing", "new_secret"]
