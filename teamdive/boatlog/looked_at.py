"""Questions that two people looked at and left: the careful reading stays, and nobody needs to be asked again."""

from teamdive.boatlog.claims import Question, decided
from teamdive.boatlog.fold import State
from teamdive.boatlog.settling import two_others

# What is past, or about the entries themselves. A question that means danger now, or that a correction answers, stays.
MAY_BE_LEFT = frozenset(
    {
        "altered",
        "deck_accepted_by_two",
        "deck_holder_down",
        "departed_not_accounted_for",
        "dives_overlap",
        "ended_not_accounted_for",
        "forked",
        "last_seen_not_known",
        "no_deck_holder",
        "not_understood",
        "other_trip",
        "override_for_oneself",
        "run_time_not_known",
        "up_before_down",
        "up_not_recorded",
    }
)


def looked_at(state: State, question: Question) -> bool:
    """Whether two named people, whom it is not about, looked at this question; a further entry opens it anew."""
    return question.code in MAY_BE_LEFT and two_others(who_looked(state, question), question.people)


def who_looked(state: State, question: Question) -> set[str]:
    """Everyone who said that they looked at this question."""
    named: set[str | None] = set()
    for claim in decided(state, "question_settled"):
        covers = claim.data["code"] == question.code and set(question.entries) <= set(claim.data["entries"])
        if covers:
            named.update((claim.entry.by, claim.data["with"]))
    return {person for person in named if person is not None}
