// The shed page keeps what is noted in this browser and sends it once the yard can be reached.
// Every entry has an id and a time made here, so that sending it twice changes nothing.
(function () {
  "use strict";
  const root = document.getElementById("shed");
  const source = document.getElementById("shed-said");
  if (!root || !source) return;
  const said = JSON.parse(source.textContent);
  const at = (id) => document.getElementById(id);
  const kinds = new Map(said.kinds.map((kind) => [kind.what, kind]));
  const vats = new Map(said.vats.map((vat) => [vat.id, vat]));

  // --- keeping -------------------------------------------------------------------------------

  const STORE = "waiting";
  let base = null;

  function openBase() {
    return new Promise((resolve) => {
      if (!window.indexedDB) { resolve(null); return; }
      let asked;
      try { asked = indexedDB.open("tanwright-shed", 1); } catch { resolve(null); return; }
      asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "id" });
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = asked.onblocked = () => resolve(null);
    });
  }

  function work(mode, doing) {
    return new Promise((resolve, reject) => {
      const turn = base.transaction(STORE, mode);
      const asked = doing(turn.objectStore(STORE));
      turn.oncomplete = () => resolve(asked && asked.result);
      turn.onerror = turn.onabort = () => reject(turn.error || new Error("not kept"));
    });
  }

  const SHELF = "tanwright-shed:";
  const shelf = {
    all: () => Object.keys(localStorage).filter((key) => key.startsWith(SHELF)).map((key) => JSON.parse(localStorage.getItem(key))),
    put: (entry) => localStorage.setItem(SHELF + entry.id, JSON.stringify(entry)),
    drop: (id) => localStorage.removeItem(SHELF + id),
  };

  async function all() {
    const found = base ? await work("readonly", (store) => store.getAll()) : shelf.all();
    return found.sort((a, b) => a.kept_at - b.kept_at);
  }
  async function put(entry) { if (base) await work("readwrite", (store) => store.put(entry)); else shelf.put(entry); }
  async function drop(id) { if (base) await work("readwrite", (store) => store.delete(id)); else shelf.drop(id); }

  function newId() {
    // crypto.randomUUID is missing on plain http.
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  }

  // --- the three touches ---------------------------------------------------------------------

  let vat = null, kind = null, mending = null;

  function touch(label, note, chosen, press) {
    const item = document.createElement("li");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "touch";
    button.setAttribute("aria-pressed", String(chosen));
    button.append(label);
    if (note) { const small = document.createElement("small"); small.textContent = note; button.append(" ", small); }
    button.addEventListener("click", press);
    item.append(button);
    return item;
  }

  function drawVats() {
    at("shed-vats").replaceChildren(...said.vats.map((item) => touch(item.title, item.vat, vat === item.id, () => {
      vat = item.id; drawVats(); drawKinds(); at("shed-kind-part").hidden = false; at("shed-kind-words").focus();
    })));
  }

  function drawKinds() {
    at("shed-kinds").replaceChildren(...said.kinds.map((item) => touch(item.label, "", kind === item.what, () => {
      kind = item.what; mending = null; drawKinds(); drawForm({});
    })));
  }

  function drawForm(old) {
    const asked = kinds.get(kind);
    at("shed-ask").textContent = "3. " + asked.ask;
    at("shed-fields").replaceChildren(...asked.fields.map((field) => drawField(field, old[field.name])));
    at("shed-note").value = old.note || "";
    at("shed-error").hidden = true;
    at("shed-form").hidden = false;
    at("shed-ask").focus();
  }

  function drawField(field, old) {
    const box = document.createElement("div");
    box.className = "field";
    if (field.type === "choice" && field.choices.length <= 8 && field.needed) {
      const set = document.createElement("fieldset"), legend = document.createElement("legend");
      legend.textContent = field.label;
      set.append(legend);
      const list = document.createElement("div");
      list.className = "box";
      field.choices.forEach(([value, label], index) => {
        const one = document.createElement("label"), input = document.createElement("input"), row = document.createElement("div");
        input.type = "radio"; input.name = "shed-" + field.name; input.value = index; input.id = "shed-" + field.name + "-" + index;
        input.checked = old !== undefined ? old === value : field.chosen === value;
        one.htmlFor = input.id;
        one.append(input, " " + label);
        row.append(one);
        list.append(row);
      });
      set.append(list);
      box.append(set);
      return box;
    }
    const label = document.createElement("label"), inside = document.createElement("div");
    inside.className = "box";
    label.htmlFor = "shed-" + field.name;
    label.textContent = field.label;
    if (!field.needed) { const optional = document.createElement("span"); optional.className = "optional"; optional.textContent = "if you know"; label.append(" ", optional); }
    if (field.type === "choice") {
      const select = document.createElement("select");
      select.id = "shed-" + field.name; select.name = select.id;
      if (!field.needed) select.append(new Option("not said", ""));
      field.choices.forEach(([value, text], index) => select.append(new Option(text, String(index), false, (old !== undefined ? old : field.chosen) === value)));
      inside.append(select);
    } else {
      const input = document.createElement("input");
      input.id = "shed-" + field.name; input.name = input.id; input.type = "text"; input.inputMode = "decimal"; input.autocomplete = "off";
      if (old !== undefined) input.value = String(Math.round(((old - field.to_kept[1]) / field.to_kept[0]) * 1e4) / 1e4);
      inside.append(input);
      if (field.unit) { const unit = document.createElement("span"); unit.className = "unit"; unit.textContent = field.unit; inside.append(unit); }
    }
    box.append(label, inside);
    return box;
  }

  // What was said in the form, in kept units; throws with words for the person.
  function readForm() {
    const data = {};
    for (const field of kinds.get(kind).fields) {
      let value;
      if (field.type === "choice") {
        const chosen = document.querySelector('input[name="shed-' + field.name + '"]:checked') || at("shed-" + field.name);
        value = chosen && chosen.value !== "" ? field.choices[Number(chosen.value)][0] : undefined;
      } else {
        const text = at("shed-" + field.name).value.trim().replace(",", ".");
        if (text !== "") {
          if (!/^-?(\d+\.?\d*|\.\d+)$/.test(text)) throw new Error(field.label + ": write a number, like 12.5.");
          value = Number(text) * field.to_kept[0] + field.to_kept[1];
        }
      }
      if (value === undefined) {
        if (field.needed) throw new Error(field.label + ": choose or write one.");
      } else data[field.name] = value;
    }
    return data;
  }

  function inWords(entry) {
    const asked = kinds.get(entry.what);
    if (!asked) return entry.what;
    const parts = asked.fields.filter((field) => entry.data[field.name] !== undefined).map((field) => {
      const value = entry.data[field.name];
      if (field.type === "choice") { const pair = field.choices.find(([kept]) => kept === value); return pair ? pair[1] : String(value); }
      return Math.round(((value - field.to_kept[1]) / field.to_kept[0]) * 1e4) / 1e4 + (field.unit ? " " + field.unit : "");
    });
    return asked.label + (parts.length ? ": " + parts.join(", ") : "");
  }

  // The phone's own time with its offset, put right if the person said that the clock is wrong.
  function nowHere() {
    const time = new Date(Date.now() + Number(localStorage.getItem("tanwright-clock") || 0));
    return time.toISOString();
  }

  at("shed-form").addEventListener("submit", async (event) => {
    event.preventDefault();
    const note = at("shed-note").value.trim();
    let data;
    try { data = readForm(); } catch (error) { tellError(error.message); return; }
    if (!kinds.get(kind).fields.length && kind === "note" && !note) { tellError("Write the note."); return; }
    const entry = mending
      ? { ...mending, data, note, why: "" }
      : { id: newId(), tannage: vat, what: kind, data, note, happened_at: nowHere(), kept_at: Date.now(), why: "" };
    try { await put(entry); } catch { tellError("This phone has no room left to keep it. Write it on paper, then free some space."); return; }
    mending = null; kind = null;
    at("shed-form").hidden = true;
    drawKinds();
    at("shed-kind-words").focus();
    await draw();
    send();
  });
  at("shed-back").addEventListener("click", () => { mending = null; kind = null; at("shed-form").hidden = true; drawKinds(); at("shed-kind-words").focus(); });

  function tellError(text) { const error = at("shed-error"); error.textContent = text; error.hidden = false; }

  // --- what is waiting -----------------------------------------------------------------------

  async function draw(state) {
    const waiting = await all();
    at("shed-waiting").replaceChildren(...waiting.map(drawWaiting));
    at("shed-state").textContent = state || (waiting.length
      ? waiting.length + (waiting.length === 1 ? " entry is" : " entries are") + " waiting on this phone."
      : "Nothing is waiting: the yard has it all.");
    return waiting;
  }

  function drawWaiting(entry) {
    const line = document.createElement("li"), words = document.createElement("p"), who = document.createElement("p");
    line.className = "log-line";
    words.className = "log-words";
    words.textContent = inWords(entry);
    who.className = "log-who";
    const where = vats.get(entry.tannage);
    who.textContent = (where ? where.title + ", " : "") + new Date(entry.happened_at).toLocaleString() + (entry.note ? ". " + entry.note : "");
    line.append(words, who);
    if (entry.why) { const why = document.createElement("p"); why.className = "error"; why.textContent = "The yard would not take it: " + entry.why; line.append(why); }
    const does = document.createElement("p");
    does.className = "buttons";
    does.append(
      press("Mend", () => { vat = entry.tannage; kind = entry.what; mending = entry; drawVats(); drawKinds(); at("shed-kind-part").hidden = false; drawForm({ ...entry.data, note: entry.note }); }),
      press("Drop", async () => { await drop(entry.id); await draw(); }),
    );
    line.append(does);
    return line;
  }

  function press(label, doing) {
    const button = document.createElement("button");
    button.type = "button"; button.className = "button-quiet"; button.textContent = label;
    button.addEventListener("click", doing);
    return button;
  }

  // --- sending -------------------------------------------------------------------------------

  let token = root.dataset.csrf, pause = 2000, timer = 0, sending = false;

  // Two tabs take turns where the browser can; where it cannot, the yard knows an entry by its id.
  function alone(doing) { return navigator.locks ? navigator.locks.request("tanwright-shed", doing) : doing(); }

  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(timer);
    try { await alone(sendAll); } finally { sending = false; }
  }

  async function sendAll() {
    const ready = (await draw()).filter((entry) => !entry.why);
    if (!ready.length) { pause = 2000; return; }
    await draw("Sending…");
    const batch = ready.slice(0, 50);
    let answer;
    try { answer = await post(batch); } catch { return again("No way to the yard just now. It is tried again by itself."); }
    if (answer.status === 403 && (await freshToken())) {
      try { answer = await post(batch); } catch { return again("No way to the yard just now. It is tried again by itself."); }
    }
    if (answer.redirected || answer.status === 401 || answer.status === 403) return signIn();
    if (!answer.ok) return again("The yard could not take it just now. It is tried again by itself.");
    let told;
    try { told = await answer.json(); } catch { return signIn(); }
    let later = false;
    const byId = new Map(batch.map((entry) => [entry.id, entry]));
    for (const { id, outcome, why } of told.outcomes) {
      if (outcome === "written" || outcome === "known") await drop(id);
      else if (outcome === "refused" && byId.has(id)) await put({ ...byId.get(id), why });
      else later = true;
    }
    tellClock(told.now);
    if (later) return again("The yard could not take all of it just now. It is tried again by itself.");
    pause = 2000;
    if ((await draw()).some((entry) => !entry.why)) return sendAll();
  }

  function post(batch) {
    const entries = batch.map(({ id, tannage, what, data, note, happened_at }) => ({ id, tannage, what, data, note, happened_at }));
    return fetch(root.dataset.send, {
      method: "POST", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token },
      body: JSON.stringify({ entries }),
    });
  }

  async function freshToken() {
    try {
      const answer = await fetch(root.dataset.token, { credentials: "same-origin", cache: "no-store" });
      if (!answer.ok || answer.redirected) return false;
      token = (await answer.json()).token;
      return true;
    } catch { return false; }
  }

  async function again(words) {
    await draw(words);
    timer = setTimeout(send, pause);
    pause = Math.min(pause * 2, 60000);
  }

  async function signIn() {
    await draw();
    const link = document.createElement("a");
    link.href = root.dataset.signIn; link.textContent = "Sign in again";
    at("shed-state").append(" You are signed out; nothing is lost. ", link, ", and it is sent.");
    timer = setTimeout(send, 60000);
  }

  // A phone whose clock is wrong would date its entries wrongly.
  function tellClock(now) {
    const behind = new Date(now).getTime() - (Date.now() + Number(localStorage.getItem("tanwright-clock") || 0));
    const words = at("shed-clock");
    words.hidden = Math.abs(behind) < 5 * 60000;
    if (words.hidden) return;
    words.textContent = "This phone's clock is " + Math.round(Math.abs(behind) / 60000) + " minutes " + (behind > 0 ? "behind" : "ahead of") + " the yard's. ";
    words.append(press("Go by the yard's clock from now on", () => {
      localStorage.setItem("tanwright-clock", String(new Date(now).getTime() - Date.now()));
      words.hidden = true;
    }));
  }

  // --- begin ---------------------------------------------------------------------------------

  async function begin() {
    base = await openBase();
    if (base) for (const entry of shelf.all()) { await put(entry); shelf.drop(entry.id); }
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist();
    at("shed-plain").hidden = true;
    root.hidden = false;
    if (said.vats.length === 1) { vat = said.vats[0].id; at("shed-kind-part").hidden = false; }
    drawVats(); drawKinds();
    await draw();
    root.dataset.ready = "yes";
    send();
  }
  at("shed-send-now").addEventListener("click", () => { pause = 2000; send(); });
  window.addEventListener("online", () => { pause = 2000; send(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  // Only a secure page may have one; elsewhere the open page keeps entries by itself.
  if (window.isSecureContext && "serviceWorker" in navigator) navigator.serviceWorker.register(root.dataset.worker).catch(() => {});
  begin();
})();
