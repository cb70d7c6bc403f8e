// Sends what was typed so far and shows the answered draft. Keeps it in this tab until the tab is closed.
"use strict";
(() => {
  const form = document.getElementById("case");
  const live = document.getElementById("live");
  const clear = document.getElementById("clear");
  if (!form || !live) return;
  const KEY = "visit:" + location.pathname;
  const wait = 250;
  let timer = 0, sent = 0, shown = 0;

  const pairs = () => [...new FormData(form)].filter(([, value]) => value !== "");

  function keep() {
    try { sessionStorage.setItem(KEY, JSON.stringify(pairs())); } catch { /* full or forbidden: only this page's */ }
  }

  function restore() {
    let kept;
    try { kept = JSON.parse(sessionStorage.getItem(KEY) || "[]"); } catch { return; }
    if (!Array.isArray(kept) || form.dataset.given !== undefined) return;
    for (const [name, value] of kept) {
      for (const field of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
        if (field.type === "radio" || field.type === "checkbox") field.checked = field.value === value || field.checked;
        else field.value = value;
      }
    }
  }

  function mark(states) {
    for (const question of form.querySelectorAll("[data-finding], [data-block]")) {
      const state = states[question.dataset.name];
      const line = question.querySelector(":scope > .state");
      question.dataset.state = state ? state.state : "";
      if (line) line.textContent = state ? state.text : "";
    }
  }

  async function ask() {
    const number = ++sent;
    const body = new URLSearchParams(pairs());
    let answer;
    try {
      const reply = await fetch(form.dataset.live, { method: "POST", body, headers: { accept: "application/json" } });
      answer = await reply.json();
    } catch {
      live.insertAdjacentHTML("afterbegin", "<p class='note stop' id='cut-off'>No answer from the service: what is shown below is old.</p>");
      return;
    }
    if (number < shown) return; // a later question was answered already
    shown = number;
    live.innerHTML = answer.html;
    mark(answer.states || {});
    live.dataset.ready = String(number);
  }

  function changed() {
    keep();
    clearTimeout(timer);
    timer = setTimeout(ask, wait);
  }

  form.addEventListener("input", changed);
  form.addEventListener("change", changed);

  // Keys for a visit typed without a mouse: digits choose an option, n goes to the question that matters most.
  form.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const target = event.target;
    const typing = target.matches("textarea, input:not([type=radio]):not([type=checkbox])");
    if (typing) return;
    if (/^[1-9]$/.test(event.key)) {
      const group = target.closest(".options, .position");
      const choices = group ? [...group.querySelectorAll("input[type=radio]")] : [];
      const chosen = choices[Number(event.key) - 1];
      if (chosen) { chosen.click(); chosen.focus(); event.preventDefault(); }
    } else if (event.key === "n") {
      const link = live.querySelector(".next a");
      if (link) { jump(link.hash); event.preventDefault(); }
    }
  });

  function jump(hash) {
    const question = document.getElementById(hash.slice(1));
    if (!question) return;
    const block = question.parentElement.closest(".block");
    if (block && question.offsetParent === null) return jump("#" + block.id);
    question.scrollIntoView({ block: "center" });
    const field = question.querySelector("input:checked, input, select");
    if (field) field.focus({ preventScroll: true });
  }

  live.addEventListener("click", (event) => {
    const link = event.target.closest(".next a");
    if (link) { jump(link.hash); event.preventDefault(); }
  });

  clear.hidden = false;
  clear.addEventListener("click", () => {
    sessionStorage.removeItem(KEY);
    location.replace(location.pathname);
  });

  restore();
  ask();
})();
