"""A trial's answers as a person would say them: words first, chances in small numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tanwright.planning.trials.analysis import (
    APART,
    Effect,
    Pair,
    QualityResult,
    Telling,
    TrialAnalysis,
)
from tanwright.planning.trials.records import CONTROL

MOST_TOLD = 4
"""Differences of one quality that are told one by one."""
MOST_NAMED = 2
"""Treatments that are named in a brief answer; more are counted."""
_CHANCES = (
    (0.995, "better than 99 chances in 100"),
    (0.985, "98 chances in 100"),
    (0.95, "19 chances in 20"),
    (0.90, "9 chances in 10"),
    (0.80, "4 chances in 5"),
    (0.75, "3 chances in 4"),
    (0.667, "2 chances in 3"),
    (0.50, "about even chances"),
    (0.40, "2 chances in 5"),
    (0.333, "1 chance in 3"),
    (0.25, "1 chance in 4"),
    (0.20, "1 chance in 5"),
    (0.10, "1 chance in 10"),
)


def chances(share: float) -> str:
    """A chance in small numbers, never more than it is."""
    return next((words for least, words in _CHANCES if share >= least), "less than 1 chance in 10")


def listed(names: Sequence[str], joint: str = "and") -> str:
    """``oak, willow and alder``, with semicolons between names that hold commas."""
    between = "; " if any("," in name for name in names) else ", "
    return names[0] if len(names) == 1 else f"{between.join(names[:-1])} {joint} {names[-1]}"


def start(text: str) -> str:
    """With a capital letter at the start."""
    return text[:1].upper() + text[1:]


def figure(value: float) -> str:
    """Two figures that matter, no trailing zeros, never ``-0``."""
    size = abs(value)
    digits = 0 if size >= 20 else 1 if size >= 1 else 2
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text.replace("-", "−")


def answer(result: QualityResult, labels: Mapping[str, str]) -> str:
    """The whole answer on one quality in one or two sentences."""
    apart = [pair for pair in result.pairs if pair.verdict == "apart"]
    rest = [pair for pair in result.pairs if pair.verdict in ("leaning", "unsure")]
    if not apart:
        if all(pair.verdict == "alike" for pair in result.pairs):
            return f"All came out alike for {result.name}, nine times in ten to {_alike(result)}."
        leaning = [pair for pair in rest if pair.verdict == "leaning"]
        plain = f"No telling them apart on {result.name}"
        if leaning:
            first = max(leaning, key=lambda pair: pair.chance)
            return f"{plain}; at most, {_may(result, first, labels)}."
        return f"{plain}."
    if len(apart) > MOST_TOLD:
        return _in_brief(result, apart, labels)
    return f"{start(_beats(result, apart, labels))}.{_unsure(rest, labels)}"


def _in_brief(result: QualityResult, apart: Sequence[Pair], labels: Mapping[str, str]) -> str:
    """Many differences: those against the usual way, the top of the order, and a count."""
    usual = labels.get(CONTROL, "")
    above = [pair for pair in apart if pair.lower == CONTROL]
    below = [pair for pair in apart if pair.upper == CONTROL]
    parts = []
    many = len(result.effects) - 1
    for pairs, side, word in ((above, "upper", result.more), (below, "lower", result.less)):
        if pairs:
            names = listed([labels[getattr(pair, side)] for pair in pairs])
            if len(pairs) > MOST_NAMED:
                names = f"all {many} others" if len(pairs) == many else f"{len(pairs)} of {many}"
            least = chances(min(pair.chance for pair in pairs))
            or_better = "" if len(pairs) == 1 else " or better"
            parts.append(f"{names} came out {word} than {usual}, {least}{or_better}")
    out = f"{start('; '.join(parts))}." if parts else ""
    if not parts and usual and any(CONTROL in (p.upper, p.lower) for p in result.pairs):
        out = f"None is told apart from {usual} on {result.name}."
    sign = -1.0 if result.better == "less" else 1.0
    first = max(result.effects, key=lambda effect: sign * effect.typical.p50)
    word = result.less if result.better == "less" else result.more
    others = len(apart) - len(above) - len(below)
    out += f" At the head, {word} than the rest on average: {first.label}."
    if others:
        pairs_word = "pair of the others is" if others == 1 else "pairs of the others are"
        out += f" {others} {pairs_word} told apart too, in the figures."
    return out.strip()


def _beats(result: QualityResult, apart: Sequence[Pair], labels: Mapping[str, str]) -> str:
    """Who beat whom, by winner, the surest first."""
    by_winner: dict[str, list[tuple[str, float]]] = {}
    for pair in apart:
        up = result.better != "less"
        winner, loser = (pair.upper, pair.lower) if up else (pair.lower, pair.upper)
        by_winner.setdefault(winner, []).append((loser, pair.chance))
    parts: list[tuple[str, list[tuple[str, str]]]] = []
    for winner, losers in by_winner.items():
        told: dict[str, list[str]] = {}
        for loser, chance in sorted(losers, key=lambda item: -item[1]):
            told.setdefault(chances(chance), []).append(labels[loser])
        parts.append((labels[winner], [(listed(names), words) for words, names in told.items()]))
    if result.better == "by-use":
        return "; ".join(
            f"{winner} came out {result.more} than "
            + ", and than ".join(f"{names}, {words}" for names, words in ends)
            for winner, ends in parts
        )
    if len(parts) == 1 and len(parts[0][1]) == 1:
        winner, ((names, words),) = parts[0]
        return f"{winner} beat {names} for {result.name}, {words}"
    return f"for {result.name} " + "; ".join(
        f"{winner} beat " + ", and ".join(f"{names}, {words}" for names, words in ends)
        for winner, ends in parts
    )


def _may(result: QualityResult, pair: Pair, labels: Mapping[str, str]) -> str:
    return (
        f"{labels[pair.upper]} may be {result.more} than {labels[pair.lower]} "
        f"({chances(pair.chance)})"
    )


def _unsure(pairs: Sequence[Pair], labels: Mapping[str, str]) -> str:
    """Those that were not told apart, as a sentence of its own, or nothing."""
    if not pairs:
        return ""
    names = dict.fromkeys(key for pair in pairs for key in (pair.lower, pair.upper))
    if len(pairs) == len(names) * (len(names) - 1) // 2:
        return f" No telling {listed([labels[key] for key in names])} apart."
    names_of = [(labels[pair.upper], labels[pair.lower]) for pair in pairs[:3]]
    shown = [
        f"{upper} {'against' if ',' in upper + lower else 'and'} {lower}"
        for upper, lower in names_of
    ]
    if len(pairs) > 3:
        shown.append(f"{len(pairs) - 3} more {'pair' if len(pairs) == 4 else 'pairs'}")
    return f" Not told apart: {'; '.join(shown)}."


def _alike(result: QualityResult) -> str:
    if result.unit == "chance":
        return "12 in 100 of an even chance"
    return "a twentieth of the figure" if result.kind == "measure" else "half a step"


def pair_words(result: QualityResult, pair: Pair, labels: Mapping[str, str]) -> str:
    """One pair in one sentence, with the size of the difference."""
    upper, lower = labels[pair.upper], labels[pair.lower]
    if pair.verdict == "alike":
        return f"{start(upper)} and {lower} are alike to {_alike(result)}."
    if pair.verdict == "unsure":
        return f"No telling {upper} and {lower} apart ({size_words(result, pair)})."
    verb = "is" if pair.verdict == "apart" else "may be"
    return (
        f"{start(upper)} {verb} {result.more} than {lower}, {chances(pair.chance)}: "
        f"{size_words(result, pair)}."
    )


def size_words(result: QualityResult, pair: Pair) -> str:
    """Size of a difference with its 90 % interval."""
    d = pair.difference
    span = f"{figure(d.p05)} to {figure(d.p95)}"
    if result.unit == "chance":
        ahead = 100.0 / (1.0 + 2.718281828459045 ** (-d.p50))
        return f"of two average pieces its own lies ahead {ahead:.0f} times in 100"
    if result.unit == "steps":
        return f"about {figure(d.p50)} {'step' if figure(d.p50) == '1' else 'steps'}, {span}"
    return f"about {figure(d.p50)} {result.unit}, {span}"


def typical_words(result: QualityResult, effect: Effect) -> str:
    """What an average patch of a treatment is like, the anchor in words first."""
    t = effect.typical
    if result.unit == "chance":
        return f"ahead of an average piece {100 * t.p50:.0f} times in 100"
    span = f"{figure(t.p50)}, {figure(t.p05)} to {figure(t.p95)}"
    if result.unit == "steps":
        step = min(max(round(t.p50), 1), result.steps)
        return f"{result.anchors[step - 1]} ({span} of {result.steps})"
    return f"{figure(t.p50)} {result.unit} ({figure(t.p05)} to {figure(t.p95)})"


def telling_words(telling: Telling) -> str:
    """How many differences were told out of how many, and how many may be chance."""
    if not telling.looked_at:
        return ""
    pairs = "1 pair was" if telling.looked_at == 1 else f"{telling.looked_at} pairs were"
    if not telling.told:
        return f"{start(pairs)} looked at; none is told as a difference."
    each = "1 is" if telling.told == 1 else f"{telling.told} are"
    return (
        f"{start(pairs)} looked at and {each} told as a difference, each from "
        f"{chances(APART)} up. {_slips(telling)}"
    )


def _slips(telling: Telling) -> str:
    """How many of the differences that are told are likely not so, in round numbers."""
    wrong = telling.likely_wrong
    if telling.told == 1:
        return "It may still be chance."
    if wrong < 0.5:
        return "Most likely all of these are so, but one may still be chance."
    many = "one" if wrong < 1.5 else f"{wrong:.0f}"
    return f"With so many looks about {many} of these will be chance, and nobody can say which."


def summary(found: TrialAnalysis) -> list[str]:
    """All answers, those that tell something first."""
    told = [
        (not any(pair.verdict == "apart" for pair in result.pairs), answer(result, found.labels))
        for result in found.qualities
    ]
    return [words for _, words in sorted(told, key=lambda item: item[0])]
