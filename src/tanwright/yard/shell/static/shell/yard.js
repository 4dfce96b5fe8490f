/* Small helps for whoever has JavaScript; every page works without them. */
"use strict";

(() => {
  /* A refused form: bring the summary of what is wrong to eye and ear. */
  const refused = document.querySelector("[data-focus]");
  if (refused) refused.focus();

  /* "When" follows the clock until someone sets it: a form may lie open for an hour. */
  const twoDigits = (n) => String(n).padStart(2, "0");
  const untouched = document.querySelectorAll('form.form input[type="datetime-local"][name="happened_at"]');
  const opened = Date.now();
  for (const box of refused ? [] : untouched) {
    const shown = box.value;
    const gap = Date.parse(shown) - opened;
    if (!(Math.abs(gap) < 120000)) continue; // an old entry that is being corrected, or another clock
    const set = () => { box.dataset.set = "1"; };
    box.addEventListener("input", set);
    box.form.addEventListener("submit", () => {
      if (box.dataset.set || box.value !== shown) return;
      const now = new Date();
      box.value = `${now.getFullYear()}-${twoDigits(now.getMonth() + 1)}-${twoDigits(now.getDate())}T${twoDigits(now.getHours())}:${twoDigits(now.getMinutes())}`;
    });
  }

  /* A wet thumb presses twice: a form is sent once. Coming back to the page frees it again. */
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || form.method !== "post") return;
    if (form.dataset.sent) { event.preventDefault(); return; }
    if (event.defaultPrevented) return;
    form.dataset.sent = "1";
    for (const button of form.querySelectorAll("button[type=submit], button:not([type])")) button.setAttribute("aria-disabled", "true");
  });
  const free = () => {
    for (const form of document.querySelectorAll("form[data-sent]")) {
      delete form.dataset.sent;
      for (const button of form.querySelectorAll("[aria-disabled]")) button.removeAttribute("aria-disabled");
    }
  };
  window.addEventListener("pageshow", free);
  document.addEventListener("htmx:afterRequest", free);

  /* "More" closes on Escape and on a press elsewhere. */
  const more = document.querySelector(".bar-more");
  if (more) {
    document.addEventListener("click", (event) => { if (more.open && !more.contains(event.target)) more.open = false; });
    more.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && more.open) { more.open = false; more.querySelector("summary").focus(); }
    });
  }

  /* The yard out of reach while part of a page was asked for. */
  const notice = document.getElementById("out-of-reach");
  const tell = (hidden) => { if (notice) notice.hidden = hidden; };
  for (const name of ["htmx:sendError", "htmx:timeout"]) document.addEventListener(name, () => tell(false));
  document.addEventListener("htmx:responseError", (event) => {
    /* Signed out, or the page is stale: load it whole, the server then says what is wrong. */
    const status = event.detail.xhr.status;
    if (status === 401 || status === 403) window.location.reload(); else tell(false);
  });
  document.addEventListener("htmx:afterOnLoad", () => tell(true));
})();
