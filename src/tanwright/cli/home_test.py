"""``tanwright home-test``: what simple tests make of a plant nobody knows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Json

if TYPE_CHECKING:
    from tanwright.planning.home_tests import Judged


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command("home-test")
    def home_test(
        part: Annotated[
            str | None, typer.Argument(metavar="[PART]", help="bark, leaf, gall and so on.")
        ] = None,
        results: Annotated[
            list[str] | None,
            typer.Argument(metavar="[TEST=RESULT]...", help="What was seen: iron=blue-black."),
        ] = None,
        plant: Annotated[
            str | None, typer.Option("--plant", help="Its id or name, where it is known.")
        ] = None,
        json: Json = False,
    ) -> None:
        """How to test a plant at home; with results, what they make of its class and strength.

        tanwright home-test leaf iron=blue-black gelatin=curds
        """
        from tanwright.cli.output import print_json
        from tanwright.planning.home_tests import home_tests, judge
        from tanwright.reference import materials

        if part is None:
            if json:
                print_json({"tests": home_tests()})
            else:
                _explain()
            return
        material_id = None if plant is None else materials.find(plant).id
        judged = judge(part, _seen(results or []), material_id)
        if json:
            print_json(judged)
        else:
            _print(judged)


def _seen(given: list[str]) -> dict[str, str]:
    from tanwright.errors import InputError

    found = {}
    for text in given:
        test, sign, result = text.partition("=")
        if not sign:
            raise InputError(
                f'"{text}" is no result', place="TEST=RESULT", remedy="write iron=blue-black"
            )
        if test.strip() in found:
            raise InputError(
                f"the test {test.strip()} is told twice",
                place="TEST=RESULT",
                remedy="write what it showed once; where two tries differ, try a third",
            )
        found[test.strip()] = result.strip()
    return found


def _explain() -> None:
    from tanwright.cli.output import say
    from tanwright.planning.home_tests import home_tests

    for test in home_tests():
        if test.place == "home":
            say(f"{test.id}: {test.name}, {test.asks}")
            for number, step in enumerate(test.how, start=1):
                say(f"  {number}. {step}.")
            for result in test.results:
                say(f"  {test.id}={result.id}: {result.words} ({result.meaning})")
        else:
            say(f"{test.id}: {test.name}, for a laboratory only: {test.asks}")
        say(f"  Limits: {test.limits}")
        for caution in test.cautions:
            say(f"  Beware: {caution.text}")
        say()


def _print(judged: Judged) -> None:
    from tanwright import units as u
    from tanwright.cli.output import say, table

    say(judged.verdict)
    say()
    table(
        ("class", "chance"),
        ((name, f"{100 * share:.0f} %") for name, share in judged.classes.items()),
        right=(1,),
    )
    say()
    say(
        f"Tannin: {u.rounded(judged.tannin_pct.p05)} to {u.rounded(judged.tannin_pct.p95)} %, most "
        f"likely {u.rounded(judged.tannin_pct.p50)} % of the air-dry stuff; before the tests "
        f"{u.rounded(judged.tannin_before_pct.p05)} to {u.rounded(judged.tannin_before_pct.p95)} %."
    )
    for reason in judged.reasons:
        say(f"- {reason}")
    for limit in judged.limits:
        say(f"Limit: {limit}")
    for caution in judged.cautions:
        say(f"Beware: {caution.text}")
