"""Pages of this area."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from tanwright.errors import TanwrightError
from tanwright.planning.trial_how import cautions_of_trying, how_to_try
from tanwright.reference import materials
from tanwright.reference.cautions import cautions_for
from tanwright.yard.journal.models import Record
from tanwright.yard.journal.queries import log_of
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.stock import queries, services
from tanwright.yard.stock.actions import ACTIONS, actions_for
from tanwright.yard.stock.forms import ChangeLotForm, ContainerForm, NewLotForm, history_initial
from tanwright.yard.stock.models import Container, Lot
from tanwright.yard.stock.plants import written_name
from tanwright.yard.stock.stocktake_form import StocktakeOfAllForm
from tanwright.yard.stock.wording import container_rows


def page_number(request: HttpRequest) -> int:
    """The page that ``?page=`` asks for, 1 when it is none."""
    text = request.GET.get("page", "1")
    return int(text) if text.isdecimal() and len(text) < 7 else 1


def entry_of(request: HttpRequest, form: EntryForm) -> dict[str, Any]:
    """What :func:`services.log` needs of who wrote the entry and when."""
    return {
        "id": form.cleaned_data["entry_id"],
        "happened_at": form.cleaned_data["happened_at"],
        "note": form.cleaned_data.get("note", ""),
        "device": getattr(request, "device", None),
    }


def problem(form: YardForm, error: TanwrightError) -> None:
    """Show a refusal beside the field it speaks of."""
    form.add_problem(error, "happened_at" if error.place == "when" else error.place or None)


def lots(request: HttpRequest) -> HttpResponse:
    system = system_of(request)
    text, show = request.GET.get("q", "")[:80], request.GET.get("show", "")
    page = Paginator(queries.lots(text, show), 50).get_page(page_number(request))
    short = queries.lots_running_short()
    rows = [queries.row_of(lot, system, short) for lot in page.object_list]
    return render(request, "stock/lots.html", {"rows": rows, "page": page, "q": text, "show": show})


_FACTS = ("kg", "counted", "state", "where", "gathered_on", "name")


@keeper_only
def new(request: HttpRequest) -> HttpResponse:
    person, place = person_of(request), place_asked(request)
    initial = {"came_from": place.pk if place else "", "material_id": plant_asked(request)}
    form = NewLotForm(request.POST or None, system=system_of(request), initial=initial)
    if request.method == "POST" and form.is_valid():
        data = form.data_of_entry()
        facts = {k: data[k] for k in _FACTS if k in data}
        came_from = Record.objects.filter(pk=form.cleaned_data["came_from"]).first()
        try:
            lot = services.new_lot(
                person, data["material_id"], history=form.history(), came_from=came_from, **facts,
                **entry_of(request, form),
            )  # fmt: skip
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, f"{lot.title} is on the list.")
            return redirect(lot)
    return render(request, "stock/new.html", {"form": form, "place": place})


def place_asked(request: HttpRequest) -> Record | None:
    """The place that ``?place=`` names, ``None`` for nonsense."""
    try:
        id = uuid.UUID(request.GET.get("place", ""))
    except ValueError:
        return None
    return Record.objects.filter(pk=id, kind=Record.Kind.PLACE).first()


def plant_asked(request: HttpRequest) -> str:
    """What the plant box shows for ``?plant=``, empty for nonsense."""
    try:
        return written_name(materials.material(request.GET.get("plant", "")[:80]))
    except TanwrightError:
        return ""


def stocktake(request: HttpRequest) -> HttpResponse:
    """All lots weighed in one go: what stays empty is left as it is."""
    system, where = system_of(request), request.GET.get("where", "")[:60].replace("\x00", "")
    lots = queries.lots_to_weigh(where)
    form = StocktakeOfAllForm(request.POST or None, system=system, lots=lots)
    if request.method == "POST" and form.is_valid():
        person, entry = person_of(request), entry_of(request, form)
        try:
            count = services.stocktake(form.weighed(), person, **entry)
        except TanwrightError as error:
            problem(form, error)
        else:
            plural = "" if count == 1 else "s"
            messages.success(request, f"Noted what is left of {count} lot{plural}.")
            return redirect("stock:lots")
    context = {"form": form, "where": where, "stores": queries.stores()}
    return render(request, "stock/stocktake.html", context)


def lot(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    person, lot = person_of(request), queries.lot_of(id)
    return render(
        request,
        "stock/lot.html",
        {
            "page": queries.page_of(lot, system_of(request)),
            "lot": lot,
            "actions": actions_for(lot, person),
            "lines": log_of(lot, system_of(request), page_number(request)),
        },
    )


_OF_DUST = ("bark-dust", "skin-irritant", "allergy", "poisonous-plant", "mould-dust")
_OF_GATHERING = ("living-tree", "gathering", "protected-plant")


def log(request: HttpRequest, id: uuid.UUID, what: str) -> HttpResponse:
    person, lot, action = person_of(request), queries.lot_of(id), ACTIONS.get(what)
    if action is None:
        raise Http404
    if action.keeper and not person.is_keeper:
        raise PermissionDenied("Only a keeper may do this. A helper logs what was done and seen.")
    form = action.form(
        request.POST or None,
        request.FILES or None,
        system=system_of(request),
        initial=action.initial(lot),
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.log(
                lot,
                f"lot.{what}",
                form.data_of_entry(),
                person,
                photo=form.cleaned_data.get("photo"),
                **entry_of(request, form),
            )
        except TanwrightError as error:
            problem(form, error)
        else:
            _tell(request, lot, action.noted)
            return redirect(lot)
    context = {"form": form, "lot": lot, "action": action}
    if what == "trial":
        context |= {
            "how_to": how_to_try(lot.material_id),
            "cautions": [
                caution
                for caution in cautions_of_trying(lot.material_id)
                if caution.topic not in _OF_GATHERING
            ],
        }
    elif what == "ground":
        context["cautions"] = [
            caution
            for caution in cautions_for([f"material:{lot.material_id}"])
            if caution.topic in _OF_DUST
        ]
    return render(request, "stock/log.html", context)


def _tell(request: HttpRequest, lot: Lot, noted: str) -> None:
    messages.success(request, noted)
    odd = queries.overdrawn_words(lot, system_of(request))
    if odd:
        messages.warning(request, odd)


@keeper_only
def change(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    person, lot = person_of(request), queries.lot_of(id)
    initial = {
        "material_id": written_name_of(lot),
        "name": lot.name,
        "gathered_on": lot.gathered_on,
        **history_initial(lot.history),
    }
    form = ChangeLotForm(request.POST or None, system=system_of(request), initial=initial)
    if request.method == "POST" and form.is_valid():
        fields = {k: form.cleaned_data[k] for k in ("material_id", "name", "gathered_on")}
        try:
            services.change_lot(lot, {**fields, "history": form.history()}, person)
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Changed; what was before is kept in its log.")
            return redirect(lot)
    return render(request, "stock/change.html", {"form": form, "lot": lot})


def written_name_of(lot: Lot) -> str:
    """What the plant box shows for the plant of a lot."""
    return written_name(materials.material(lot.material_id))


def containers(request: HttpRequest) -> HttpResponse:
    person = person_of(request)
    form = ContainerForm(request.POST or None, system=system_of(request))
    if request.method == "POST":
        if not person.is_keeper:
            raise PermissionDenied("Only a keeper may measure containers.")
        if form.is_valid():
            data = form.cleaned_data
            try:
                kept = services.keep_container(data["name"], data["holds"], person, of=data["of"])
            except TanwrightError as error:
                form.add_problem(error, "holds")
            else:
                messages.success(request, f"Amounts may be counted in {kept.name}s now.")
                return redirect("stock:containers")
    rows = container_rows(Container.objects.all(), system_of(request))
    return render(request, "stock/containers.html", {"form": form, "rows": rows})


@require_POST
@keeper_only
def drop_container(request: HttpRequest, id: int) -> HttpResponse:
    services.drop_container(get_object_or_404(Container, pk=id), person_of(request))
    messages.success(request, "Forgotten. Amounts that were counted in it are kept.")
    return redirect("stock:containers")
