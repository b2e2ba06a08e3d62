/** Small things that every page needs: messages, elements, dialogs. */

/**
 * An element with attributes and children.  Texts are always set as text, never as markup.
 * @param {string} name
 * @param {Record<string, any>} [attributes] on… are listeners; true stands without a value.
 * @param {...(Node|string|null|undefined|false)} children
 * @returns {HTMLElement}
 */
export function el(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key === "value" && "value" in made) made.value = value;
    else made.setAttribute(key, value === true ? "" : String(value));
  }
  made.append(...children.filter((c) => c !== null && c !== undefined && c !== false));
  return made;
}

/** One of the studio's icons. @param {string} name */
export function icon(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 24 24");
  svg.setAttribute("aria-hidden", "true");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  use.setAttribute("href", `/static/icons.svg#${name}`);
  svg.append(use);
  return svg;
}

/**
 * Say something: shown for a while, and read out.
 * @param {string} words @param {"note"|"fault"} [kind]
 */
export function say(words, kind = "note") {
  const box = document.getElementById("messages");
  if (!box) return;
  const shown = el("div", { class: `message ${kind}` }, el("p", {}, words));
  const close = el("button", { type: "button", class: "plain", onclick: () => shown.remove() }, "Close");
  shown.append(close);
  box.replaceChildren(shown);
  if (kind !== "fault") setTimeout(() => shown.remove(), 8000);
}

/** Say what went wrong. @param {unknown} failure */
export function sayFailure(failure) {
  if (failure instanceof Error && failure.name === "AbortError") return;
  say(failure instanceof Error ? failure.message : String(failure), "fault");
}

/**
 * Run something that may fail, with a failure told to the maker.
 * @template T @param {() => Promise<T>} work @returns {Promise<T|undefined>}
 */
export async function told(work) {
  try {
    return await work();
  } catch (failure) {
    sayFailure(failure);
    return undefined;
  }
}

/**
 * Ask before something that cannot easily be taken back.
 * @param {string} question @param {string} yes the words on the button that does it.
 * @returns {Promise<boolean>}
 */
export function ask(question, yes) {
  return new Promise((resolve) => {
    const box = /** @type {HTMLDialogElement} */ (
      el("dialog", { "aria-label": question },
        el("form", { method: "dialog" },
          el("p", {}, question),
          el("div", { class: "row" },
            el("button", { class: "button main", value: "yes" }, yes),
            el("button", { class: "button", value: "no", autofocus: true }, "No, keep it")))));
    box.addEventListener("close", () => {
      resolve(box.returnValue === "yes");
      box.remove();
    });
    document.body.append(box);
    box.showModal();
  });
}

/**
 * Markup of a drawing that the studio made, as an element; scripts in it never run, and anything
 * that is no drawing is left out.
 * @param {string} markup @returns {SVGElement|null}
 */
export function drawing(markup) {
  const parsed = new DOMParser().parseFromString(markup, "image/svg+xml");
  const root = parsed.documentElement;
  if (root.localName !== "svg") return null;
  return /** @type {SVGElement} */ (document.importNode(root, true));
}

/** A time as the maker's own machine writes it. @param {string} iso */
export function when(iso) {
  const at = new Date(iso);
  return Number.isNaN(at.valueOf()) ? iso
    : at.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
}

/** Write every <time datetime> of the page in the maker's own way. */
export function writeTimes(root = document) {
  for (const time of root.querySelectorAll("time[datetime]")) {
    time.textContent = when(time.getAttribute("datetime") ?? "");
  }
}

// Among the pages of a design, the one that is open is in sight, however narrow the screen.
document.querySelector(".onward [aria-current]")?.scrollIntoView({ inline: "center", block: "nearest" });
