/* What page_checks.py asks of a page. One expression: an object of functions. */
({
  structure() {
    const all = (what) => [...document.querySelectorAll(what)].filter((one) => one.checkVisibility({visibilityProperty: true}));
    const faults = [];
    if (all("h1").length !== 1) faults.push(`${all("h1").length} h1 instead of one`);
    if (all("main").length !== 1) faults.push(`${all("main").length} main instead of one`);
    if (!document.title.trim()) faults.push("no title");
    if (document.documentElement.lang !== "en") faults.push("no language");
    let before = 0;
    for (const heading of all("main :is(h1, h2, h3, h4, h5, h6)")) {
      const level = Number(heading.tagName[1]);
      if (level > before + 1) faults.push(`${heading.tagName} after h${before}: ${heading.textContent.trim()}`);
      before = level;
    }
    const ids = new Set();
    for (const {id} of document.querySelectorAll("[id]")) {
      if (ids.has(id)) faults.push(`id ${id} twice`);
      ids.add(id);
    }
    const inline = "[style], [onclick], [onchange], [onsubmit], [oninput], style, script:not([src], [type='application/json'])";
    for (const one of document.querySelectorAll(inline)) faults.push(`inline style or script: ${one.outerHTML.slice(0, 80)}`);
    return faults;
  },

  width() {
    const room = document.documentElement.clientWidth;
    const needed = document.documentElement.scrollWidth;
    if (needed <= room) return [];
    const wide = [...document.querySelectorAll("body *")].filter((one) => {
      const scrolled = one.closest(".table-scroll");
      return (!scrolled || scrolled === one) && one.checkVisibility() && one.getBoundingClientRect().right > room + 1;
    });
    return [`${needed} px wide on ${room}: ${wide.length ? wide.at(-1).outerHTML.slice(0, 120) : "?"}`];
  },

  targets() {
    const pressed = "button, .button, .button-quiet, .button-danger, .touch, .row, summary, nav a, input:not([type=hidden]), select";
    const faults = [];
    for (const one of document.querySelectorAll(pressed)) {
      if (!one.checkVisibility({visibilityProperty: true})) continue;
      const box = (one.closest("label") || one).getBoundingClientRect();
      if (box.width && box.height < 47.5) faults.push(`only ${Math.round(box.height)} px high: ${one.outerHTML.slice(0, 100)}`);
    }
    return faults;
  },

  /* Marks what Tab must reach and watches it being reached; says how many presses surely do. */
  begin() {
    const named = new Set();
    const worked = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']";
    const toReach = [...document.querySelectorAll(worked)].filter((one) => {
      if (one.disabled || one.tabIndex < 0 || !one.checkVisibility({visibilityProperty: true})) return false;
      if (one.type !== "radio") return true;
      const mates = [...document.getElementsByName(one.name)].filter((mate) => mate.form === one.form);
      const chosen = mates.find((mate) => mate.checked) || mates[0];
      return chosen === one && !named.has(one.name) && Boolean(named.add(one.name));
    });
    const reached = new Set();
    const faults = [];
    const outlined = (it) => {
      const look = getComputedStyle(it);
      return look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2;
    };
    const covered = (one, label) => {
      // The first line of it: the middle of a link over two lines may be another word's place.
      const box = one.getClientRects()[0] || one.getBoundingClientRect();
      const top = document.elementFromPoint(box.left + box.width / 2, box.top + Math.min(box.height / 2, 20));
      return Boolean(top) && !one.contains(top) && !top.contains(one) && !(label && label.contains(top));
    };
    document.addEventListener("focusin", ({target}) => {
      if (reached.has(target)) return;
      reached.add(target);
      const label = target.closest("label");
      const what = target.outerHTML.slice(0, 120);
      if (!outlined(target) && !(label && outlined(label))) faults.push(`focus is not seen on ${what}`);
    });
    /* Asked after each press: the browser scrolls to what has the focus after it has told so. */
    const looked = new Set();
    window.lookAtFocus = () => {
      const one = document.activeElement;
      if (!one || one === document.body || looked.has(one)) return;
      looked.add(one);
      if (covered(one, one.closest("label"))) faults.push(`focus is covered on ${one.outerHTML.slice(0, 120)}`);
    };
    window.keyboardFaults = () => [
      ...faults,
      ...toReach.filter((one) => !reached.has(one)).map((one) => `Tab does not reach ${one.outerHTML.slice(0, 120)}`),
    ];
    document.activeElement.blur();
    window.getSelection().removeAllRanges();
    const parted = document.querySelectorAll("input[type=date], input[type=datetime-local], input[type=time]").length;
    return toReach.length + 8 * parted + 3;
  },
})
