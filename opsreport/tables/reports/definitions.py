"""What the figures about people mean, in sentences for the foot of a document."""

from fractions import Fraction
from typing import Final

from opsreport.kinds import Share
from opsreport.shown import decimal_words
from opsreport.tables.naming import counted
from opsreport.tables.table import Prose

TITLE: Final = "What the figures mean"


def completer_words(completion: Share) -> str:
    """What makes a completer, under this programme's setting."""
    if completion.number is not None:
        number = decimal_words(completion.number)
        return f"present at {number} or more of the group's delivered sessions"
    share = decimal_words(100 * (completion.of_all or Fraction(0)), 1)
    return f"present at {share}% or more of the group's delivered sessions"


def attendance_definitions(completion: Share, kits_source: str) -> Prose:
    """Definitions of the attendance document."""
    return Prose(
        (
            "Planned: sessions on the list, cancelled ones too; one that makes up for a cancelled one "
            "counts once with it.",
            "Expected: people who belonged to the group on the day of a delivered session.",
            "Rate: present ÷ (present + absent + excused). Not recorded is in no part of it.",
            "Contact: one person present at one session, a visitor's presence too. Visitors are not in "
            "expected, present, rate or completers.",
            "People and households: those with at least one contact, each counted once. For the whole "
            "programme somebody in two groups is one person, so it can be less than the groups together.",
            f"Completer: {completer_words(completion)}, at least once; late joiners are held to all of them too.",
            "Completers by own sessions: the same, but of the sessions held while each person belonged to "
            "the group, so that nobody falls short by joining late.",
            "Contact hours: contacts × minutes ÷ 60, session by session.",
            f"Kits given out: {kits_source or 'not known'}.",
        ),
        TITLE,
    )


def outcome_definitions() -> tuple[str, ...]:
    """Sentences on pairs, changes, intervals and tests."""
    return (
        "Pair: one person's answers to one question before and after. Unmatched: an answer at one time "
        "only; it is in no other figure.",
        "Change: after less before, averaged over the pairs; for yes-no questions the share of yes after "
        "less the share before.",
        "95% interval: what the average change (for yes-no questions the share) could well be, given how "
        "much people differ and how few they are. Where it holds zero, no change at all is among the "
        "possibilities.",
        "Standardised change: average change ÷ standard deviation of the changes.",
        "p: how often chance alone would give a difference at least as great if nothing had changed "
        "(Wilcoxon signed-rank for scales and numbers, McNemar for yes-no, both exact unless a note says "
        "otherwise). p, Holm: the same adjusted for the number of questions tested, so that one small p among many is "
        "not taken for more than it is.",
        "Improved, same, worse: people whose answer moved in the better direction, stayed, or moved the other way.",
        "Everybody here took part and nobody is compared with: a change need not be due to the programme.",
    )


FOOD_COST_WORDS: Final = (
    "Food cost: goods, delivery and tax of the orders in the workbook's sheet Orders, those that came and those on "
    "their way, and of the orders still to place on the planning date (as of, at the top). From which packs a session "
    "was packed is not written down: of packs that came, the sessions packed since they were due take what their "
    "recipes and kits need of the food, the earliest first, as far as the packs reach, then sessions to come what they "
    "take from the shelf; what is left over goes with them. Money paid for food that stands in no row of Orders is "
    "charged to nobody."
)

NOT_STATED_WORDS: Final = "people of whom nothing stands in that column of the list of participants."


def funder_definitions(completion: Share) -> Prose:
    """Definitions at the end of a funder's document."""
    return Prose(
        (
            *counts_and_costs(completer_words(completion)),
            "Planned: sessions of these groups on the list for the period, cancelled ones too; one that makes up for a "
            "cancelled one counts once with it.",
            "Share of promise: delivered ÷ promised. Pace: delivered ÷ (promised × sessions delivered ÷ sessions "
            "planned): 100% is just enough if it goes on as it has; for sessions it compares what is planned with what "
            "was promised.",
            f"“Not stated”: {NOT_STATED_WORDS}",
            *outcome_definitions(),
        ),
        TITLE,
    )


def counts_and_costs(completer: str) -> tuple[str, ...]:
    """What a funder's figures of people and money mean, in one workbook or in several. completer: what makes one."""
    return (
        "Sessions: those of the groups named above that were held within the period, both of its days included.",
        "People and households: those present at one of these sessions at least, each counted once.",
        "Contact: one person present at one session. Contact hours: contacts × minutes ÷ 60.",
        f"Completer: {completer} within the period, at least once; those who joined late are held to all of them too. "
        "Completion: completers ÷ people.",
        FOOD_COST_WORDS,
        "Charged to this funder: what sessions of its groups within the period cost, both of its days included, in "
        "this funder's share of each group, to the cent.",
        "In-kind value: the value of the donated food that sessions to come take from the shelf, charged the same "
        "way. What sessions held already took of donated food is not written down, so it is in no figure.",
    )


def few_pairs_note(numbers_of_pairs: list[int], tested: int) -> tuple[str, ...]:
    """Cautions about small numbers and many questions, where they apply."""
    notes = []
    few = sum(2 <= pairs < FEW for pairs in numbers_of_pairs)
    if few:
        rest = "rests" if few == 1 else "rest"
        notes.append(
            f"{counted(few, 'question')} {rest} on fewer than {FEW} pairs: one person more or less could "
            "change the picture, and with fewer than six people whose answer changed the tests cannot "
            "reach p = 0.05 at all."
        )
    if tested > 1:
        notes.append(
            f"{tested} questions were tested. Were nothing changed, about one test in twenty would still "
            "give a p below 0.05, so one small p among several is weak evidence."
        )
    return tuple(notes)


FEW: Final = 12
"""Fewer pairs than this call for a caution."""
