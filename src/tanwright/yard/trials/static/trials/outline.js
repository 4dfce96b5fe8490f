/* A sheet of squared paper to draw an offcut on. The box of points is the truth: what is drawn is
   written there, what is written there is drawn. Without this script the box alone does. */
"use strict";

(() => {
  const room = document.querySelector("[data-outline]");
  const text = room && document.getElementById(room.dataset.outline);
  if (!text) return;
  room.hidden = false;
  const sheet = room.querySelector("svg");
  const says = room.querySelector(".drawing-says");
  const breadthBox = room.querySelector("#sheet-breadth");
  const HEIGHT_SHARE = 0.75;
  const SNAP = 0.5;
  let breadth = Number(breadthBox.value) || 40;
  let cross = null;
  let held = null;

  const height = () => Math.round(breadth * HEIGHT_SHARE);
  const make = (name, attributes, parent) => {
    const node = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    parent.append(node);
    return node;
  };

  /* "12.5, 3" and "12,5 3" as the yard reads them; a line it cannot read is left alone. */
  const read = () => {
    const rings = [[]];
    for (const line of text.value.split(/\r?\n/)) {
      const bare = line.trim();
      if (!bare) { if (rings[rings.length - 1].length) rings.push([]); continue; }
      const found = bare.match(/^\(?\s*([+-]?\d*\.?\d+)\s*(?:[,;]\s*|\s+)([+-]?\d*\.?\d+)\s*\)?[,;]?$/)
        || bare.replace(/(\d),(\d)/g, "$1.$2").match(/^([+-]?\d*\.?\d+)\s*(?:;\s*|\s+)([+-]?\d*\.?\d+)$/);
      if (found) rings[rings.length - 1].push([Number(found[1]), Number(found[2])]);
    }
    return rings;
  };
  const write = (rings) => {
    const told = rings.map((ring) => ring.map(([x, y]) => `${+x.toFixed(2)}, ${+y.toFixed(2)}`).join("\n"));
    text.value = told.join("\n\n");
    text.dispatchEvent(new Event("change", { bubbles: true }));
    draw();
  };
  const near = (value) => Math.round(value / SNAP) * SNAP;
  const area = (ring) => Math.abs(ring.reduce((sum, [x, y], at) => {
    const [u, v] = ring[(at + 1) % ring.length];
    return sum + x * v - u * y;
  }, 0)) / 2;

  const draw = () => {
    const rings = read();
    const tall = height();
    sheet.replaceChildren();
    sheet.setAttribute("viewBox", `0 0 ${breadth} ${tall}`);
    const step = breadth > 120 ? 5 : 1;
    for (let x = 0; x <= breadth; x += step) make("line", { x1: x, x2: x, y1: 0, y2: tall, class: x % 10 ? "drawing-grid" : "drawing-grid is-ten" }, sheet);
    for (let y = 0; y <= tall; y += step) make("line", { x1: 0, x2: breadth, y1: tall - y, y2: tall - y, class: y % 10 ? "drawing-grid" : "drawing-grid is-ten" }, sheet);
    const size = breadth / 32;
    for (let x = 10; x < breadth; x += 10) make("text", { x: x + size / 6, y: tall - size / 4, "font-size": size, class: "drawing-number" }, sheet).textContent = x;
    rings.forEach((ring, at) => {
      if (ring.length) make("polygon", { points: ring.map(([x, y]) => `${x},${tall - y}`).join(" "), class: at ? "drawing-line is-flaw" : "drawing-line" }, sheet);
    });
    const scale = breadth / Math.max(sheet.getBoundingClientRect().width, 1);
    rings.forEach((ring, r) => ring.forEach(([x, y], p) => {
      const key = `${r}:${p}`;
      make("circle", { cx: x, cy: tall - y, r: 7 * scale, class: held === key ? "drawing-point is-held" : "drawing-point" }, sheet);
      make("circle", { cx: x, cy: tall - y, r: 22 * scale, class: "drawing-touch", "data-point": key }, sheet);
    }));
    if (cross) {
      const arm = 14 * scale;
      make("path", { d: `M${cross[0] - arm},${tall - cross[1]}h${2 * arm}M${cross[0]},${tall - cross[1] - arm}v${2 * arm}`, class: "drawing-cross" }, sheet);
    }
    const [outer, ...flaws] = rings;
    const drawn = flaws.filter((ring) => ring.length > 2);
    const left = area(outer) - drawn.reduce((sum, ring) => sum + area(ring), 0);
    says.textContent = outer.length < 3 ? `${outer.length} points; three make a piece.`
      : `${outer.length} points, about ${Math.round(left)} cm²${drawn.length ? `, ${drawn.length} flaw${drawn.length > 1 ? "s" : ""}` : ""}.`;
  };

  const place = (event) => {
    const frame = sheet.getBoundingClientRect();
    /* The sheet may be letterboxed when its height is capped. */
    const scale = Math.max(breadth / frame.width, height() / frame.height);
    const x = (event.clientX - frame.left - frame.width / 2) * scale + breadth / 2;
    const y = height() / 2 - (event.clientY - frame.top - frame.height / 2) * scale;
    return [near(Math.min(Math.max(x, 0), breadth)), near(Math.min(Math.max(y, 0), height()))];
  };
  const set = (point) => {
    const rings = read();
    rings[rings.length - 1].push(point);
    write(rings);
  };

  sheet.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    event.preventDefault();
    sheet.focus({ preventScroll: true });
    sheet.setPointerCapture(event.pointerId);
    cross = null;
    const key = event.target.dataset ? event.target.dataset.point : undefined;
    if (key) { held = key; draw(); return; }
    const rings = read();
    held = `${rings.length - 1}:${rings[rings.length - 1].length}`;
    set(place(event));
  });
  sheet.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [r, p] = held.split(":").map(Number);
    const rings = read();
    if (!rings[r] || !rings[r][p]) { held = null; return; }
    rings[r][p] = place(event);
    write(rings);
  });
  for (const name of ["pointerup", "pointercancel"]) sheet.addEventListener(name, () => { held = null; draw(); });

  const undo = () => {
    const rings = read();
    while (rings.length > 1 && !rings[rings.length - 1].length) rings.pop();
    rings[rings.length - 1].pop();
    write(rings);
  };
  sheet.addEventListener("keydown", (event) => {
    const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    if (steps[event.key]) {
      cross = cross || [near(breadth / 2), near(height() / 2)];
      const far = event.shiftKey ? 5 : 1;
      cross = [Math.min(Math.max(cross[0] + far * steps[event.key][0], 0), breadth), Math.min(Math.max(cross[1] + far * steps[event.key][1], 0), height())];
      draw();
      says.textContent = `Cross at ${cross[0]}, ${cross[1]}.`;
    } else if (event.key === "Enter" && cross) set([...cross]);
    else if (event.key === "Delete" || event.key === "Backspace") undo();
    else return;
    event.preventDefault();
  });
  room.addEventListener("click", (event) => {
    const what = event.target.dataset ? event.target.dataset.do : undefined;
    if (what === "undo") undo();
    if (what === "flaw") {
      if (read()[0].length < 3) { says.textContent = "Draw the outline first."; return; }
      text.value = `${text.value.trimEnd()}\n\n`;
      draw();
      says.textContent = "Now go round the flaw.";
    }
    if (what === "clear") write([[]]);
  });
  breadthBox.addEventListener("input", () => {
    const asked = Number(breadthBox.value);
    if (asked >= 10 && asked <= 300) { breadth = asked; draw(); }
  });
  text.addEventListener("input", draw);
  window.addEventListener("resize", draw);
  const most = Math.max(...read().flat().map(([x, y]) => Math.max(x, y / HEIGHT_SHARE)), 0);
  if (most > breadth) { breadth = Math.min(300, Math.ceil(most / 10) * 10); breadthBox.value = breadth; }
  draw();
})();
