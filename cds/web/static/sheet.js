// Sends what was typed so far and shows the answered draft. Keeps it in this tab until it is cleared or closed.
"use strict";
(() => {
  const form = document.getElementById("case");
  const live = document.getElementById("live");
  if (!form || !live) return;
  const kept = document.getElementById("kept");
  const spoken = document.getElementById("spoken");
  const KEY = "visit";
  const given = form.dataset.given || "";
  let timer = 0, sent = 0, shown = 0;

  const pairs = () => [...new FormData(form)].filter(([, value]) => value !== "");
  const field = (tag, text) => Object.assign(document.createElement(tag), { textContent: text });

  // ---- keeping: one visit in one tab, as session storage has it
  function keep() {
    try { sessionStorage.setItem(KEY, JSON.stringify({ given, pairs: pairs() })); } catch { /* full or forbidden */ }
  }

  function taken() {
    try {
      const found = JSON.parse(sessionStorage.getItem(KEY) || "null");
      return found && Array.isArray(found.pairs) && found.pairs.length ? found : null;
    } catch { return null; }
  }

  function fill(entries) {
    const values = new Map(entries);
    for (const input of form.elements) {
      if (!input.name || input.type === "submit") continue;
      const value = values.get(input.name);
      if (input.type === "radio" || input.type === "checkbox") input.checked = value !== undefined && input.value === value;
      else if (input.name !== "moment" || value) input.value = input.classList.contains("number") && /^~/.test(value || "") ? "" : value || "";
    }
  }

  function clear() {
    sessionStorage.removeItem(KEY);
    location.replace("/visit");
  }

  function say(text, ...buttons) {
    kept.replaceChildren(field("span", text), ...buttons.map(([name, act]) => {
      const button = field("button", name);
      button.type = "button";
      button.addEventListener("click", act);
      return button;
    }));
    kept.hidden = false;
  }

  function restore() {
    const found = taken();
    if (!found) {
      if (given) keep();
      return;
    }
    if (found.given === given) {
      fill(found.pairs);
      say("What was typed in this tab is back.", ["Clear this visit", clear]);
    } else if (given === "") {
      say("This tab still keeps a visit that is under way; what is typed here takes its place.", ["Go on with it", () => {
        fill(found.pairs);
        form.action = "/visit";
        form.submit();
      }], ["Clear it", clear]);
      return;
    }
    keep();
  }

  // ---- the draft
  function mark(states) {
    for (const question of form.querySelectorAll(".question[data-name]")) {
      const state = states[question.dataset.name] || { state: "open", text: "not answered" };
      if (!["open", "kept", "not_applicable"].includes(question.dataset.state)) question.classList.add("shown");
      question.dataset.state = state.state;
      const line = question.querySelector(":scope > .state");
      if (line && line.textContent !== state.text) line.textContent = state.text;
    }
  }

  function blame(wrong) {
    for (const line of form.querySelectorAll(".problem")) {
      const holder = line.closest("[data-name]");
      const name = holder && holder.dataset.name;
      const text = wrong[name] ? wrong[name][0].toUpperCase() + wrong[name].slice(1) : "";
      if (line.textContent !== text) line.textContent = text;
      if (holder.classList.contains("question")) holder.classList.toggle("wrong", Boolean(text));
      for (const input of holder.querySelectorAll("input[type=text], input[type=date], textarea")) {
        if (input.name !== name) continue;
        if (text) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
      }
    }
  }

  async function ask() {
    const number = ++sent;
    timer = 0;
    const body = new URLSearchParams(pairs());
    let answer;
    try {
      const reply = await fetch(form.dataset.live, { method: "POST", body, headers: { accept: "application/json" } });
      if (!reply.ok) throw new Error("refused");
      answer = await reply.json();
    } catch {
      if (!document.getElementById("cut-off")) {
        const note = field("p", "No answer from the service. What stands here is of before.");
        note.id = "cut-off";
        note.className = "note stop";
        live.prepend(note);
      }
      if (number === sent && !timer) live.removeAttribute("aria-busy");
      return;
    }
    if (number < shown) return; // a later question was answered already
    shown = number;
    live.innerHTML = answer.html;
    delete form.dataset.everything;
    document.getElementById("problems")?.remove();
    blame(answer.wrong || {});
    if (answer.headline) {
      mark(answer.states || {});
      if (spoken.textContent !== answer.headline) spoken.textContent = answer.headline;
    }
    if (number === sent && !timer) live.removeAttribute("aria-busy");
  }

  function changed() {
    keep();
    live.setAttribute("aria-busy", "true");
    clearTimeout(timer);
    timer = setTimeout(ask, 200);
  }

  // A reason, a number and a choice of one question exclude each other, whatever kind of field they are.
  form.addEventListener("input", (event) => {
    const input = event.target;
    if (input.name) for (const other of form.querySelectorAll(`input[name="${CSS.escape(input.name)}"]`)) {
      if (other === input) continue;
      if (other.type === "radio" && input.type === "text") other.checked = false;
      if (other.type === "text" && input.type === "radio") other.value = "";
    }
    changed();
  });
  form.addEventListener("change", changed);

  // ---- keys
  const visible = (element) => element.checkVisibility ? element.checkVisibility() : element.offsetParent !== null;

  function answered(question) {
    const name = question.dataset.name;
    const fields = [...question.querySelectorAll("input")].filter((input) => input.name === name);
    return fields.some((input) => input.type === "radio" ? input.checked && input.value !== "" : input.value.trim() !== "");
  }

  function onward(from) {
    const all = [...form.querySelectorAll(".question[data-name], .position, .sub")].filter(visible);
    const rest = all.slice(all.indexOf(from) + 1);
    const near = from.closest(".level") || from.closest(".question");
    const next = rest.find((stop) => {
      if (stop.matches(".position, .sub")) return near && near.contains(stop) && !stop.querySelector("input:checked");
      return ["owed", "stale"].includes(stop.dataset.state) ? !answered(stop) : near && near.contains(stop) && !answered(stop);
    });
    if (next) go(next); else form.querySelector("button.main").focus();
  }

  function go(stop) {
    const reduced = matchMedia("(prefers-reduced-motion: reduce)").matches;
    // a block that was opened is answered member by member
    if (stop.matches(".block") && stop.querySelector(":scope > .options input[value=some]:checked")) {
      const open = [...stop.querySelectorAll(":scope > .members > .question")].find((member) => visible(member) && !answered(member));
      if (open) stop = open;
    }
    const input = stop.querySelector("input:checked, input, textarea");
    if (!input) return;
    input.focus({ preventScroll: true });
    stop.scrollIntoView({ block: "center", behavior: reduced ? "instant" : "auto" });
  }

  function jump(hash) {
    const question = document.getElementById(hash.slice(1));
    if (!question) return;
    const block = question.parentElement.closest(".block");
    if (block && !visible(question)) return go(block);
    question.classList.add("shown");
    for (let fold = question.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    go(question);
  }

  form.addEventListener("keydown", (event) => {
    const target = event.target;
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      form.requestSubmit(form.querySelector("button.main"));
      return;
    }
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const stop = target.closest(".position, .sub, .question");
    if (!stop || target.matches("textarea, button, summary")) return;
    if (event.key === "Enter") {
      event.preventDefault();
      onward(stop);
      return;
    }
    if (target.matches("input[type=text], input[type=date]")) return;
    // up and down in the list of levels go to the level above or below, not to another side
    if ((event.key === "ArrowUp" || event.key === "ArrowDown") && stop.matches(".position")) {
      const rows = [...form.querySelectorAll(".level")].filter(visible);
      const row = rows[rows.indexOf(stop.closest(".level")) + (event.key === "ArrowUp" ? -1 : 1)];
      const place = [...stop.parentElement.children].indexOf(stop);
      if (row) go(row.querySelectorAll(".position")[place]);
      event.preventDefault();
      return;
    }
    const options = target.closest(".options, .position");
    const choices = options ? [...options.querySelectorAll("input[type=radio]")].filter((input) => input.value !== "~unchanged") : [];
    let chosen;
    if (/^[0-9]$/.test(event.key)) {
      chosen = stop.hasAttribute("data-scale") ? choices.find((input) => input.value === event.key) : choices[Number(event.key) - 1];
    } else if (event.key === "u") {
      chosen = options && options.querySelector("input[value='~unchanged']");
    } else if (event.key === "n") {
      const link = live.querySelector(".next a");
      if (link) { jump(link.hash); event.preventDefault(); }
      return;
    }
    if (event.key === "l") {
      const middle = form.querySelector(".level[data-level=L4] .position");
      event.preventDefault();
      if (middle && visible(middle)) go(middle); else jump("#q-palpated");
      return;
    }
    if (!chosen) return;
    event.preventDefault();
    chosen.focus({ preventScroll: true });
    chosen.click();
    onward(stop);
  });

  document.addEventListener("click", (event) => {
    const link = event.target.closest(".next a, #live .note a, #problems a");
    if (link) { event.preventDefault(); jump(link.hash); }
  });

  const button = document.getElementById("clear");
  button.hidden = false;
  button.addEventListener("click", clear);
  document.getElementById("keys").hidden = false;

  restore();
  live.setAttribute("aria-busy", "true");
  ask();
  document.getElementById("problems")?.focus();
})();
