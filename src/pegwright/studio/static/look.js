/**
 * The look of every page: light, dark, or like the system, as it was chosen in this browser.
 *
 * A classic script that stands in the head before the styles, so that no page is ever painted in
 * another look first.  It writes the look that holds on the root, `data-look="light"` or `"dark"`,
 * and tells whatever is painted rather than styled by a `look` event on the document.  Where this
 * script does not run, the styles follow the system by themselves.
 */
"use strict";
(() => {
  const KEY = "pegwright-look";
  const LOOKS = ["light", "dark"];
  const NOT_KEPT = "This browser keeps nothing, so the look holds for this page only.";
  const root = document.documentElement;
  const system = matchMedia("(prefers-color-scheme: dark)");
  const forced = matchMedia("(forced-colors: active)");
  let chosen = ""; // like the system
  let printing = false;

  function read() {
    try {
      const kept = localStorage.getItem(KEY) ?? "";
      chosen = LOOKS.includes(kept) ? kept : "";
    } catch {
      // Refused: what was chosen on this page holds.
    }
    apply();
  }

  /** @param {string} look @returns {boolean} whether the browser keeps it. */
  function keep(look) {
    try {
      if (look) localStorage.setItem(KEY, look);
      else localStorage.removeItem(KEY);
      return true;
    } catch {
      return false;
    }
  }

  /** The look that holds: on paper light, and where the system sets every colour, the system's. */
  function holding() {
    if (printing) return "light";
    if (chosen && !forced.matches) return chosen;
    return system.matches ? "dark" : "light";
  }

  function apply() {
    const choice = document.getElementById("look");
    if (choice) choice.value = chosen;
    const look = holding();
    if (root.dataset.look === look) return;
    root.dataset.look = look;
    document.querySelector("meta[name=color-scheme]").content = look;
    for (const meta of document.querySelectorAll("meta[name=theme-color]")) {
      meta.media = meta.dataset.look === look ? "all" : "not all";
    }
    document.dispatchEvent(new Event("look"));
  }

  function print(now) {
    printing = now;
    apply();
  }

  read();
  system.addEventListener("change", apply);
  forced.addEventListener("change", apply);
  document.addEventListener("DOMContentLoaded", apply); // the choice stands in the page by now
  document.addEventListener("change", (event) => {
    if (event.target.id !== "look") return;
    chosen = event.target.value;
    document.getElementById("look-said").textContent = keep(chosen) ? "" : NOT_KEPT;
    apply();
  });
  addEventListener("storage", (event) => { if (event.key === KEY || event.key === null) read(); });
  addEventListener("pageshow", read); // back to a page that did not hear of a change meanwhile
  addEventListener("beforeprint", () => print(true));
  addEventListener("afterprint", () => print(false));
})();
