// Prints the page, and copies a field; without this script both are done by hand.
"use strict";
// A visit that was closed is no longer kept for the sheet: the next patient's must not begin with it.
if (document.querySelector("[data-closed]")) {
  try { sessionStorage.removeItem("visit"); } catch { /* forbidden: nothing was kept */ }
}
for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
for (const button of document.querySelectorAll("[data-copy]")) {
  const field = document.getElementById(button.dataset.copy);
  const said = document.querySelector(`[data-said="${button.dataset.copy}"]`);
  button.hidden = false;
  button.addEventListener("click", async () => {
    field.focus();
    field.select();
    try {
      await navigator.clipboard.writeText(field.value);
      said.textContent = "Copied.";
    } catch {
      said.textContent = "All of it is selected: copy it with the keys of this browser.";
    }
  });
}
