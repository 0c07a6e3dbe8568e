// The browser's side of a shared page: live parts, connection words, guarded typing, small controls. Pages work without it.
(() => {
  "use strict";
  const body = document.body, words = body.dataset, root = document.documentElement;
  const find = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const fill = (text, gaps) => text.replace(/\{(\w+)\}/g, (_, name) => gaps[name] ?? "");
  const clock = () => new Date().toLocaleTimeString(root.lang, { hour: "numeric", minute: "2-digit" });

  // ---- What is being typed is never swapped away
  const TYPING = "input:not([type=checkbox],[type=radio],[type=button],[type=submit],[type=hidden]),select,textarea";
  const changed = (field) =>
    field.type === "hidden" || field.type === "submit" || field.type === "button" ? false
      : field.type === "checkbox" || field.type === "radio" ? field.checked !== field.defaultChecked
      : field.type === "file" ? field.files.length > 0
      : field.options ? selectMoved(field)
      : field.value !== field.defaultValue;
  const selectMoved = (field) => {
    const first = [...field.options].findIndex((option) => option.defaultSelected);
    return field.multiple ? [...field.options].some((o) => o.selected !== o.defaultSelected)
      : field.selectedIndex !== Math.max(first, 0);
  };
  const dirty = (within) => all("input,select,textarea", within).some(changed);
  const busy = (part) => {
    const at = document.activeElement, inside = part.contains(at) && at !== part;
    return (inside && (at.matches(TYPING) || !at.id)) || dirty(part);
  };

  // What is typed outlives a swap around it, with the value it started from, so that a clash is still noticed
  const keep = (part, sent) => {
    const saved = sent && find("[name^=was_]", sent) ? sent.closest("details") : null;
    const opened = all("details[open][id]", part).filter((each) => each !== saved).map((each) => each.id);
    const typed = all("[id]", part).filter((field) => field.matches(TYPING) && field.type !== "file" && field.form !== sent && changed(field))
      .map((field) => ({ id: field.id, value: field.value, was: field.form?.elements[`was_${field.name}`]?.value }));
    const focused = part.contains(document.activeElement) ? document.activeElement.id : "";
    return () => {
      for (const id of opened) if (document.getElementById(id)) document.getElementById(id).open = true;
      for (const each of typed) {
        const field = document.getElementById(each.id), was = field?.form?.elements[`was_${field.name}`];
        if (field) field.value = each.value;
        if (was) was.value = each.was;
      }
      if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus({ preventScroll: true });
    };
  };

  // ---- Live parts: fetched anew when the farm's stream names them
  const running = new Map(); // part name -> true while fetching, "again" when named meanwhile
  const markStale = (part, by, text) => {
    part.classList.add("stale");
    let note = find(":scope > .stale-note", part);
    if (!note) {
      note = document.createElement(part.matches("ul,ol") ? "li" : "p");
      note.className = "stale-note";
      note.setAttribute("role", "status");
      part.append(note);
    }
    note.textContent = fill(text, { name: by }) + " ";
    const show = document.createElement("button");
    show.type = "button";
    show.className = "quiet";
    show.textContent = words.wordShow;
    show.onclick = () => refresh(part, by, true);
    note.append(show);
  };
  const place = (part, text) => {
    const holder = document.createElement("template");
    holder.innerHTML = text.trim();
    const fresh = holder.content.firstElementChild;
    if (!fresh) return part.remove();
    const putBack = keep(part);
    part.replaceWith(fresh);
    window.htmx?.process(fresh);
    fresh.classList.add("arrived");
    putBack();
    document.dispatchEvent(new CustomEvent("fresh", { detail: fresh }));
  };
  async function refresh(part, by, asked) {
    const name = part.dataset.live;
    if (!asked && busy(part)) return markStale(part, by, words.wordChanged);
    if (running.has(name)) return running.set(name, "again");
    running.set(name, true);
    try {
      const answer = await fetch(part.dataset.from, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
      const now = find(`[data-live="${CSS.escape(name)}"]`);
      if (answer.redirected || answer.status === 401) location.reload();
      else if (!now) return;
      else if (answer.status === 404 || answer.status === 204) busy(now) && !asked ? markStale(now, by, words.wordGone) : now.remove();
      else if (answer.ok) {
        const text = await answer.text();
        !asked && busy(now) ? markStale(now, by, words.wordChanged) : place(now, text);
      }
    } catch { /* no signal: the stream's catch-up names this part again */ missed.add(name); }
    finally {
      const again = running.get(name) === "again";
      running.delete(name);
      const next = again && find(`[data-live="${CSS.escape(name)}"]`);
      if (next) refresh(next, by);
    }
  }
  const named = (name, by, seq) => Promise.all(
    all(`[data-live="${CSS.escape(name)}"]`).filter((part) => !(seq <= Number(part.dataset.seq || 0))).map((part) => refresh(part, by)));
  // One part after the other: the one that was touched is named first and must not wait for sums drawn from it.
  const waiting = new Map();
  let draining = false;
  async function drain() {
    if (draining) return;
    draining = true;
    for (const [name, note] of waiting) {
      waiting.delete(name);
      await Promise.race([named(name, note.by || "", note.seq), new Promise((go) => setTimeout(go, 2000))]);
    }
    draining = false;
  }
  document.addEventListener("focusout", (event) => {
    const part = event.target.closest?.(".stale[data-live]");
    if (part) setTimeout(() => part.isConnected && !busy(part) && refresh(part, ""), 150);
  });

  // ---- The stream, with the number of the last change seen
  const missed = new Set();
  let stream, seq = Number(words.seq || 0), heard = 0, wait = 1000, retry, since = "", hiddenFor;
  const say = (state) => {
    const line = find("#layout-connection");
    if (!line) return;
    if (state === "offline") since ||= clock();
    else since = "";
    const text = state === "live" ? words.wordLive : state === "offline" ? fill(words.wordOffline, { time: since }) : words.wordWaiting;
    if (line.textContent !== text) line.textContent = text;
    line.parentElement.classList.toggle("away", state !== "live");
    if (state !== "live") find("#layout-presence").textContent = "";
  };
  const lost = () => say(navigator.onLine ? "waiting" : "offline");
  const alive = () => { heard = Date.now(); wait = 1000; say("live"); };
  const close = () => { clearTimeout(retry); stream?.close(); stream = null; };
  function open() {
    close();
    heard = Date.now();
    stream = new EventSource(`${words.stream}?seq=${seq}`);
    stream.onopen = () => { alive(); const names = [...missed]; missed.clear(); names.forEach((name) => named(name, "")); };
    stream.onerror = () => {
      lost();
      close();
      retry = setTimeout(open, wait);
      wait = Math.min(wait * 2, 15000);
    };
    const change = (event) => {
      alive();
      const note = JSON.parse(event.data);
      seq = Math.max(seq, note.seq || 0);
      for (const name of note.parts || []) waiting.set(name, note);
      drain();
    };
    stream.onmessage = change;
    stream.addEventListener("change", change);
    stream.addEventListener("beat", alive);
    stream.addEventListener("presence", (event) => {
      alive();
      const own = find("details.person > summary")?.dataset.name;
      const names = JSON.parse(event.data).names.filter((name) => name !== own);
      find("#layout-presence").textContent = names.length ? ` · ${fill(words.wordHere, { names: names.join(", ") })}` : "";
    });
  }
  if (words.stream) {
    open();
    setInterval(() => { if (stream && Date.now() - heard > 45000) { lost(); open(); } }, 5000);
    addEventListener("online", open);
    addEventListener("offline", () => { lost(); });
    addEventListener("pagehide", close);
    addEventListener("pageshow", (event) => event.persisted && open());
    document.addEventListener("visibilitychange", () => { // a browser keeps six connections to one server
      clearTimeout(hiddenFor);
      if (document.hidden) hiddenFor = setTimeout(close, 60000);
      else if (!stream) open();
    });
  }

  // ---- Leaving with unsaved typing asks first
  let leaving = false;
  const guarded = () => all("form[method=post]:not([data-no-guard])").some(dirty);
  addEventListener("beforeunload", (event) => { if (!leaving && guarded()) event.preventDefault(); });
  addEventListener("submit", (event) => {
    if (event.defaultPrevented || event.target.hasAttribute("hx-post")) return;
    leaving = true;
    setTimeout(() => { leaving = false; }, 4000);
  });

  // ---- Answers of htmx
  const message = (text) => {
    const line = find("#layout-message");
    line.replaceChildren(Object.assign(document.createElement("p"), { className: "message", textContent: text }));
  };
  body.addEventListener("htmx:sendError", () => message(words.wordUnsent));
  body.addEventListener("htmx:timeout", () => message(words.wordUnsent));
  body.addEventListener("htmx:beforeRequest", () => find("#layout-message")?.replaceChildren());
  let putBack = null;
  body.addEventListener("htmx:beforeSwap", (event) => {
    putBack = event.detail.shouldSwap ? keep(event.detail.target, event.detail.requestConfig.elt.closest("form")) : null;
  });
  body.addEventListener("htmx:afterSwap", (event) => {
    putBack?.();
    putBack = null;
    const at = event.detail.elt;
    const wrong = find("[aria-invalid=true]", at.isConnected ? at : document);
    if (event.detail.xhr?.status === 422) wrong?.focus();
  });

  // ---- Small controls
  document.addEventListener("click", (event) => {
    const step = event.target.closest("[data-step]");
    if (step) {
      const field = find("input", step.parentElement), by = Number(step.dataset.step);
      const low = parseFloat(field.dataset.low ?? field.min) || 0, high = parseFloat(field.dataset.high || field.max) || Infinity;
      const places = (String(step.dataset.step).split(".")[1] || "").length;
      const value = field.value.trim() === "" && startOf(field) || (parseFloat(field.value.replace(",", ".")) || 0) + by;
      field.value = Math.min(high, Math.max(low, value)).toFixed(places);
      for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
    }
    for (const menu of all("details.menu[open]")) if (!menu.contains(event.target)) menu.open = false;
    const here = event.target.closest("[data-here]");
    if (here) placed(here);
    const more = event.target.closest("button[name=more]");
    if (more && find("[data-spots]", more.form)) { event.preventDefault(); addSpot(more.form); }
  });
  // The first step of an empty height goes to the height of the spot before, or to a usual one
  const startOf = (field) => {
    const spots = field.closest("[data-start]");
    if (!spots) return 0;
    const typed = all(".stepper input", spots).map((each) => parseFloat(each.value.replace(",", "."))).filter((each) => each > 0);
    return typed.at(-1) || Number(spots.dataset.start);
  };
  // The phone's place goes into the two entries the button names; without that permission they are typed
  const placed = (button) => navigator.geolocation.getCurrentPosition(({ coords }) => {
    [coords.latitude, coords.longitude].forEach((value, index) => {
      document.getElementById(button.dataset.here.split(" ")[index]).value = value.toFixed(5);
    });
  }, () => { button.textContent = button.dataset.wordRefused; }, { enableHighAccuracy: true, timeout: 15000 });
  if ("geolocation" in navigator) for (const button of all("[data-here]")) button.hidden = false;
  // One more spot without asking the server: the last one again, empty, with the next number
  const addSpot = (form) => {
    const rows = all("[data-spots] > *", form), last = rows.at(-1), n = rows.length;
    const holder = document.createElement("template");
    holder.innerHTML = last.outerHTML.replaceAll(`_${n}"`, `_${n + 1}"`).replaceAll(`_${n} `, `_${n + 1} `)
      .replaceAll(`_${n}-`, `_${n + 1}-`).replaceAll(`spot-${n}-`, `spot-${n + 1}-`).replaceAll(`spot-${n}"`, `spot-${n + 1}"`);
    const fresh = holder.content.firstElementChild;
    for (const field of all("input", fresh)) {
      if (field.type === "radio") field.checked = field.defaultChecked = false;
      else { field.value = ""; field.setAttribute("value", ""); }
      field.removeAttribute("aria-invalid");
    }
    for (const told of all(".error,.ask", fresh)) told.remove();
    last.after(fresh);
    find("[name=spots_count]", form).value = n + 1;
    all("[data-spots] > *", form).forEach((row, index) => { find("legend b", row).textContent = index + 1; });
    find("input", fresh).focus();
  };
  document.addEventListener("keydown", (event) => {
    const menu = event.key === "Escape" && find("details.menu[open]");
    if (menu) { menu.open = false; find("summary", menu).focus(); }
  });
  document.addEventListener("input", (event) => {
    const told = event.target.dataset?.output && document.getElementById(event.target.dataset.output);
    if (told) told.textContent = Number(event.target.value).toLocaleString(root.lang);
  });
  document.addEventListener("change", (event) => {
    if (event.target.closest("[data-autosubmit]")) event.target.form.requestSubmit();
  });
  document.addEventListener("submit", (event) => {
    const form = event.target.closest("[data-theme-form]"), button = event.submitter;
    if (!form || !button) return;
    event.preventDefault();
    const data = new URLSearchParams(new FormData(form, button));
    root.dataset.theme = button.value;
    for (const each of all("button", form)) each.setAttribute("aria-pressed", each === button);
    fetch(form.action, { method: "POST", body: data, credentials: "same-origin", redirect: "manual" })
      .catch(() => message(words.wordUnsent));
    document.dispatchEvent(new Event("recolour"));
  }, true);
})();
