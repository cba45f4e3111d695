"""What is said of pain that holds a plan: by its score, or of a run that was left out for it."""

from __future__ import annotations

from sitegen.care import sentences
from sitegen.model.sentence import Sentence, say
from sitegen.rules.draft import Stop


def holds(score: int | None, calm_up_to: int) -> Sentence:
    """That nothing grows; ``score`` is 0 to 10, None where nobody told one. One up to
    ``calm_up_to`` holds for what it did after the run, not for its height."""
    if score is None:
        return say(
            "A run was left out for pain: nothing grows until two sessions in a row are at 0 to 2."
        )
    if score <= calm_up_to:
        return say(
            "Pain of {score}/10 was not down again in time: nothing grows until two sessions in a "
            "row are at 0 to 2, and down again.",
            score=score,
        )
    return say(
        "Pain of {score}/10 was logged: nothing grows until two sessions in a row are at 0 to 2.",
        score=score,
    )


def holds_for_now(score: int | None, calm_up_to: int) -> Sentence:
    """The same of a week ahead: it is so as long as nothing calm is told."""
    if score is None:
        return say(
            "For now a run left out for pain holds this week: tell of two sessions in a row at 0 "
            "to 2, and weeks grow again."
        )
    if score <= calm_up_to:
        return say(
            "For now pain that was not down again in time holds this week: tell of two sessions in "
            "a row at 0 to 2, and down again, and weeks grow again."
        )
    return say(
        "For now pain of {score}/10 holds this week: tell of two sessions in a row at 0 to 2, and "
        "weeks grow again.",
        score=score,
    )


def calm_again(score: int | None) -> Sentence:
    """That the rest of a week is held to its end."""
    if score is None:
        return say(
            "A run was left out for pain before this week, and it is calm again: from Monday on "
            "weeks grow again."
        )
    return say(
        "Pain of {score}/10 was logged before this week, and it is calm again: from Monday on "
        "weeks grow again.",
        score=score,
    )


def goes_back(score: int | None) -> Sentence:
    """That the plan goes back a step."""
    if score is None:
        return say("Runs were left out for pain: the plan goes back a step.")
    return say("Pain of {score}/10 was logged: the plan goes back a step.", score=score)


def stays_back(score: int | None) -> Sentence:
    """That the plan stays a step back."""
    if score is None:
        return say(
            "Runs were left out for pain: the plan stays a step back until two sessions in a row "
            "are at 0 to 2."
        )
    return say(
        "Pain of {score}/10 was logged: the plan stays a step back until two sessions in a row "
        "are at 0 to 2.",
        score=score,
    )


def stays_back_for_now(score: int | None) -> Sentence:
    """The same of a week ahead."""
    if score is None:
        return say(
            "For now runs left out for pain keep this week a step back: tell of two sessions in a "
            "row at 0 to 2, and weeks grow again."
        )
    return say(
        "For now pain of {score}/10 keeps this week a step back: tell of two sessions in a row at "
        "0 to 2, and weeks grow again.",
        score=score,
    )


def walks(score: int | None) -> Sentence:
    """That running waits on the lowest rung."""
    if score is None:
        return say(sentences.LINE_WALKS_UNTOLD)
    return say(sentences.LINE_WALKS, score=score)


def rests(score: int | None, morning: bool, walking: bool) -> Sentence:
    """That two days are without running; whether the morning is told, and walking, and well."""
    return say(sentences.RESTS[morning, walking], score=score)


def waits_ahead(stop: Stop) -> Stop:
    """The stop as a week ahead has it: it waits for what is not told yet."""
    waits = stop.says.template in sentences.RESTS.values()
    if not waits or stop.says.template == sentences.LINE_REST_TOLD:
        return stop
    return stop._replace(says=say(sentences.LINE_REST_AHEAD, **stop.says.values))


def halves(*, is_ahead: bool) -> Sentence:
    """That a week is at half after such a rest."""
    return say(sentences.LINE_HALVED_AHEAD if is_ahead else sentences.LINE_HALVED)
