"""Who has been told about a buy, a thing, a letter: matter by matter, person by person."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from coop.core.figures import join_words
from coop.notices.circles import Concern
from coop.notices.kinds import Kind, kind_of
from coop.notices.models import Matter, Notice, Writing
from coop.notices.queries.told_states import NOT_REACHED, WORDS, How, Line, Standing, how
from coop.notices.queries.unreached import unreached_in
from coop.notices.queries.words import NO_LONGER_SO, words_of
from coop.people.models import Coop, Household, Member

#: What lies further back is not shown. Judgement, no source: a season's buys are squared by then.
SHOWN = timedelta(days=180)
#: No more rows of matters than these, the latest; each can be opened for its people.
MOST_GROUPS = 60
#: With more people than these, only whom it could not be told stand open.
AT_A_GLANCE = 40


@dataclass
class Person:
    """One member and how they were told of one matter, in lines."""

    member: Member
    hows: list[How] = field(default_factory=list)
    mark: Line | None = None

    @property
    def standing(self) -> Standing:
        """The best of their notices: who was told once was told."""
        return min((each.standing for each in self.hows), key=list(Standing).index)

    @property
    def lines(self) -> tuple[Line, ...]:
        """What there is to say, each thing once."""
        said = dict.fromkeys(line for each in self.hows for line in each.lines)
        return (*said, self.mark) if self.mark else tuple(said)


@dataclass(frozen=True)
class Home:
    """A household, and its people with whom it stands alike: those told alike stand together."""

    household: Household
    told: list[tuple[str, tuple[Line, ...]]]


@dataclass(frozen=True)
class Section:
    """All people of a matter with whom it stands alike, by household."""

    standing: Standing
    people: int
    homes: list[Home]

    @property
    def words(self) -> str:
        """How it stands with them, after their number."""
        return WORDS[self.standing]


@dataclass
class Group:
    """All that is told at one moment of one kind: the same thing to many households."""

    first: Matter
    matters: list[Matter] = field(default_factory=list)
    people: dict[int, Person] = field(default_factory=dict)

    @property
    def key(self) -> int:
        """By which an address names it."""
        return self.first.pk

    @property
    def words(self) -> str:
        """What kind it is."""
        return words_of(self.first.kind)

    @property
    def title(self) -> str:
        """The title, where all read the same; else the kind."""
        titles = {matter.title for matter in self.matters}
        return titles.pop() if len(titles) == 1 else self.words

    @property
    def mark(self) -> str:
        """That it is no longer so, where it went before its moment; empty else."""
        return NO_LONGER_SO if self.first.is_off else ""

    @property
    def silent(self) -> list[Household]:
        """Households that it is for and that have nobody on the site."""
        return _silent(self.matters)

    @property
    def why_nobody(self) -> str:
        """Why nobody is told, where nobody is."""
        if all(matter.not_to_id for matter in self.matters):
            return "who did it needs no word of it"
        if self.mark:
            return "it was no longer so before it was to be told"
        return "its time had passed when it was known"

    @property
    def counts(self) -> list[tuple[str, int, str]]:
        """How many people stand how: code, number, words. Those that are nobody's are left out."""
        found = Counter(person.standing for person in self.people.values())
        return [(each.value, found[each], WORDS[each]) for each in Standing if found[each]]

    @property
    def sections(self) -> list[Section]:
        """Everybody, by how it stands with them and then by household, by name."""
        return [
            Section(Standing(code), count, _homes(self._with(Standing(code))))
            for code, count, _ in self.counts
        ]

    @property
    def is_long(self) -> bool:
        """Whether it has more people than are read at a glance."""
        return len(self.people) > AT_A_GLANCE

    def _with(self, standing: Standing) -> list[Person]:
        return [each for each in self.people.values() if each.standing is standing]

    @property
    def failed(self) -> list[Person]:
        """Whom it could not be told, where it still stands and they are still there."""
        return [
            each
            for each in self._with(Standing.FAILED)
            if each.member.left_at is None and any(how.stands for how in each.hows)
        ]


def _silent(matters: Iterable[Matter]) -> list[Household]:
    return [
        matter.household
        for matter in matters
        if matter.household and not matter.has_people  # type: ignore[attr-defined]
    ]


def _homes(people: Iterable[Person]) -> list[Home]:
    grouped: dict[Household, list[Person]] = defaultdict(list)
    for person in people:
        grouped[person.member.household].append(person)
    homes = [Home(household, _alike(persons)) for household, persons in grouped.items()]
    return sorted(homes, key=lambda home: (home.household.name.lower(), home.household.pk))


def _alike(people: list[Person]) -> list[tuple[str, tuple[Line, ...]]]:
    """Names of who was told in the same way, and how."""
    names: dict[tuple[Line, ...], list[str]] = defaultdict(list)
    for person in sorted(people, key=lambda each: (each.member.name, each.member.pk)):
        names[person.lines].append(person.member.name)
    return [(join_words(named), lines) for lines, named in names.items()]


def told_about(coop: Coop, concern: Concern, now: datetime) -> list[Group]:
    """All that is told about a concern, letters among it; the latest moment first. Five queries."""
    letters = Writing.objects.filter(coop=coop, about=concern.about).values_list("pk", flat=True)
    causes = Q(about__in=[f"writing:{pk}" for pk in letters])
    matters = Matter.objects.filter(concern.matters | causes, at__gte=now - SHOWN)
    return groups_of(coop, matters, now)


def groups_of(coop: Coop, matters: QuerySet[Matter], now: datetime) -> list[Group]:
    """Matters of a co-op put together by kind and moment, each with its people. Four queries."""
    groups: dict[tuple[str, datetime, bool], Group] = {}
    by_matter: dict[int, Group] = {}
    for matter in _rows(coop, matters):
        key = (matter.kind, matter.at, matter.is_off)
        group = groups.get(key)
        if group is None:
            if len(groups) == MOST_GROUPS:
                break
            group = groups[key] = Group(matter)
        group.matters.append(matter)
        by_matter[matter.pk] = group
    _add_people(by_matter, now)
    _mark_unreached(coop, groups.values())
    return list(groups.values())


def _rows(coop: Coop, matters: QuerySet[Matter]) -> QuerySet[Matter]:
    members = Member.objects.filter(household=OuterRef("household"), left_at=None)
    return (
        matters.filter(coop=coop)
        .select_related("household")
        .annotate(has_people=Exists(members))
        .order_by("-at", "kind", "pk")
    )


def _add_people(by_matter: dict[int, Group], now: datetime) -> None:
    notices = (
        Notice.objects.filter(matter__in=list(by_matter))
        .select_related("matter", "member__household", "mail")
        .order_by("due_at", "pk")
    )
    for notice in notices:
        people = by_matter[notice.matter_id].people
        person = people.setdefault(notice.member_id, Person(notice.member))
        person.hows.append(how(notice, _kind(notice.matter.kind), now))


def _mark_unreached(coop: Coop, groups: Iterable[Group]) -> None:
    """Beside whom mail does not reach, that it does not; not where their notice says so itself."""
    groups = list(groups)
    last = {
        each.member.pk: each.last_at
        for each in unreached_in(coop, {pk for group in groups for pk in group.people})
    }
    for person in (each for group in groups for each in group.people.values()):
        at = last.get(person.member.pk)
        if at and not any(each.is_refused for each in person.hows):
            person.mark = Line(NOT_REACHED, at, is_wrong=True)


def _kind(code: str) -> Kind | None:
    try:
        return kind_of(code)
    except KeyError:
        return None


@dataclass
class Missed:
    """Somebody whom something could not be told: what, and why."""

    member: Member
    what: list[tuple[str, Line]] = field(default_factory=list)


def missed_in(groups: Iterable[Group]) -> list[Missed]:
    """Whom something that stands could not be told, by household and name."""
    found: dict[int, Missed] = {}
    for group in groups:
        for person in group.failed:
            missed = found.setdefault(person.member.pk, Missed(person.member))
            missed.what += [(group.title, line) for line in person.lines if line.is_wrong]
    return sorted(
        found.values(),
        key=lambda each: (each.member.household.name.lower(), each.member.name, each.member.pk),
    )


def silent_in(groups: Iterable[Group]) -> list[Household]:
    """Households that something that stands is for and that have nobody on the site, by name."""
    standing = (each for group in groups for each in group.matters if each.dropped_at is None)
    found = {home.pk: home for home in _silent(standing)}
    return sorted(found.values(), key=lambda home: (home.name.lower(), home.pk))


def group_named(groups: Sequence[Group], key: str) -> Group | None:
    """The group that an address names; None for none of them."""
    return next((each for each in groups if str(each.key) == key), None)
