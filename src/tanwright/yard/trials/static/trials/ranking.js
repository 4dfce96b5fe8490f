// Laying pieces in a row: drag by the handle, or move with the arrows. The places are the numbers
// in the boxes, so without this file the numbers are typed and the form works all the same.
(function () {
  "use strict";

  const list = document.querySelector("[data-laying]");
  if (!list) { return; }
  const said = document.querySelector("[data-said]");
  document.querySelectorAll(".with-script").forEach(function (part) { part.hidden = false; });

  function items() { return Array.from(list.querySelectorAll(".laid")); }
  function box(item) { return item.querySelector("[data-place]"); }
  function level(item) { return item.querySelector(".level"); }

  function button(words, label, kind) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = kind;
    made.textContent = words;
    made.setAttribute("aria-label", label);
    return made;
  }

  // Numbers follow the row; a piece that is level with the one before it has the same number.
  function number() {
    let place = 0;
    items().forEach(function (item, at) {
      const same = at > 0 && level(item).getAttribute("aria-pressed") === "true";
      if (!same) { place += 1; }
      if (at === 0) { level(item).setAttribute("aria-pressed", "false"); }
      level(item).disabled = at === 0;
      box(item).value = String(place);
    });
  }

  function tell(item) {
    said.textContent = item.dataset.name + ": place " + box(item).value;
  }

  function move(item, by) {
    const row = items();
    const to = row.indexOf(item) + by;
    if (to < 0 || to >= row.length) { return; }
    list.insertBefore(item, by < 0 ? row[to] : row[to].nextSibling);
    number();
    tell(item);
  }

  // Typed numbers put the row in their order; a piece without a number goes to the end.
  function sort() {
    const row = items();
    const typed = row.map(function (item) { return Number(box(item).value) || Infinity; });
    const order = row.map(function (item, at) { return at; });
    order.sort(function (a, b) { return typed[a] - typed[b] || a - b; });
    order.forEach(function (at, place) {
      const same = place > 0 && isFinite(typed[at]) && typed[at] === typed[order[place - 1]];
      level(row[at]).setAttribute("aria-pressed", String(same));
      list.appendChild(row[at]);
    });
  }

  function under(y, dragged) {
    return items().find(function (item) {
      if (item === dragged) { return false; }
      const edge = item.getBoundingClientRect();
      return y < edge.top + edge.height / 2;
    }) || null;
  }

  // The others step aside; the dragged piece itself stays in the page, or it would lose the pointer.
  function slide(item, before) {
    const row = items();
    const from = row.indexOf(item);
    const to = before ? row.indexOf(before) : row.length;
    const after = item.nextSibling;
    row.slice(to, from).forEach(function (one) { list.insertBefore(one, after); });
    row.slice(from + 1, to).forEach(function (one) { list.insertBefore(one, item); });
  }

  items().forEach(function (item) {
    const name = item.dataset.name;
    const handle = button("⋮⋮", "drag " + name, "handle");
    const up = button("↑", name + " one place up", "up");
    const down = button("↓", name + " one place down", "down");
    const equal = button("=", name + " level with the one above", "level");
    equal.setAttribute("aria-pressed", "false");
    item.prepend(handle);
    item.append(up, down, equal);

    up.addEventListener("click", function () { move(item, -1); up.focus(); });
    down.addEventListener("click", function () { move(item, 1); down.focus(); });
    equal.addEventListener("click", function () {
      equal.setAttribute("aria-pressed", String(equal.getAttribute("aria-pressed") !== "true"));
      number();
      tell(item);
    });
    box(item).addEventListener("change", function () { sort(); tell(item); });

    handle.addEventListener("pointerdown", function (event) {
      handle.setPointerCapture(event.pointerId);
      item.classList.add("is-dragged");
      event.preventDefault();
    });
    handle.addEventListener("pointermove", function (event) {
      if (!item.classList.contains("is-dragged")) { return; }
      slide(item, under(event.clientY, item));
    });
    function drop() {
      if (!item.classList.contains("is-dragged")) { return; }
      item.classList.remove("is-dragged");
      number();
      tell(item);
    }
    handle.addEventListener("pointerup", drop);
    handle.addEventListener("pointercancel", drop);
    handle.addEventListener("keydown", function (event) {
      if (event.key === "ArrowUp") { move(item, -1); handle.focus(); event.preventDefault(); }
      if (event.key === "ArrowDown") { move(item, 1); handle.focus(); event.preventDefault(); }
    });
  });

  if (items().some(function (item) { return box(item).value; })) { sort(); } else { number(); }
}());
