"""The yard's tools as a table of a sheet."""

from __future__ import annotations

from typing import Any

from tanwright.yard.liquors.models import Tools


def tools_of_the_yard() -> Tools:
    """The one row of tools; not saved yet when nobody has said anything."""
    return Tools.objects.order_by("pk").first() or Tools(pk=1)


def tool_table() -> dict[str, Any]:
    """What the yard measures and cooks with, as the [tools] table of a sheet."""
    tools = tools_of_the_yard()
    table: dict[str, Any] = {"strength": tools.instrument, "litre_scale": tools.litre_scale}
    if tools.scale in ("bk", "sg", "tw", "be", "brix", "plato"):
        table["scale"] = tools.scale
    if tools.calibrated_at_c is not None:
        table["calibrated_at"] = f"{tools.calibrated_at_c:.4g} C"
    if tools.pot_l is not None:
        table["pot"] = f"{tools.pot_l:.6g} L"
    return table


def scale_of_the_yard() -> str:
    """The scale that strengths are read and shown in."""
    tools = tools_of_the_yard()
    if tools.scale:
        return tools.scale
    by_tool = {"hydrometer": "sg", "refractometer": "brix"}
    return by_tool.get(tools.instrument, "litre" if tools.litre_scale else "bk")
