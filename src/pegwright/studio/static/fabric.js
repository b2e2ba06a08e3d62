/** The picture of the fabric, fetched after the figures: which size, and which face of it. */
import { request } from "./request.js";
import { el } from "./page.js";

const INKS = ["--ink", "--paper", "--soft", "--quiet", "--yarn-first", "--yarn-second"];

/**
 * The address of a drawing as an image.  An image sees nothing of the page that it stands in, so it
 * is given the page's colours, as they are now.
 * @param {string} svg
 */
export function asImage(svg) {
  const page = getComputedStyle(document.documentElement);
  const inks = INKS.map((name) => `${name}:${page.getPropertyValue(name).trim()}`).join(";");
  return `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg.replace("<svg ", `<svg style="${inks}" `))}`;
}

export class FabricPane {
  /** @param {HTMLElement} root @param {string} address */
  constructor(root, address) {
    this.root = root;
    this.address = address;
    this.size = "";
    this.key = "";
    this.timer = 0;
    /** @type {AbortController|null} */
    this.asked = null;
    document.addEventListener("look", () => {
      const image = this.root.querySelector("img");
      if (image) image.src = asImage(this.svg);
    });
  }

  /** @param {any} view */
  refresh(view) {
    clearTimeout(this.timer);
    this.asked?.abort();
    if (view.problems.length || !view.result?.sizes.length) return;
    this.sizes = view.result.sizes.map((s) => s.name);
    if (!this.sizes.includes(this.size)) this.size = this.sizes[0];
    this.timer = setTimeout(() => this.fetch(), 350);
  }

  async fetch() {
    this.asked = new AbortController();
    const query = new URLSearchParams({ size: this.size, view: this.key });
    try {
      this.show(await request("GET", `${this.address}/fabric?${query}`, undefined, { signal: this.asked.signal }));
    } catch (failure) {
      if (failure.name !== "AbortError") this.root.replaceChildren();
    }
  }

  show(fabric) {
    this.key = fabric.key;
    this.svg = fabric.svg;
    const image = el("img", { alt: fabric.words, src: asImage(fabric.svg) });
    const old = this.root.querySelector("img");
    if (old && this.root.dataset.shape === this.shape(fabric)) {
      old.replaceWith(image);
      this.root.querySelector("[data-words]").textContent = fabric.words;
      return;
    }
    this.root.dataset.shape = this.shape(fabric);
    const choose = (id, label, values, chosen, set) => el("div", { class: "field" }, el("label", { for: id }, label),
      el("select", { id, onchange: (e) => { set(e.target.value); this.fetch(); } },
        ...values.map(([value, words]) => el("option", { value, selected: value === chosen }, words))));
    this.root.replaceChildren(el("section", { class: "panel", "aria-labelledby": "fabric-title" },
      el("h2", { id: "fabric-title" }, "The fabric"),
      el("div", { class: "fields" },
        choose("fabric-size", "Size", this.sizes.map((n) => [n, n]), this.size, (v) => { this.size = v; }),
        choose("fabric-view", "Seen from", fabric.views.map((v) => [v.key, v.title]), fabric.key, (v) => { this.key = v; })),
      el("figure", {}, image, el("figcaption", { "data-words": "" }, fabric.words))));
  }

  shape(fabric) {
    return JSON.stringify([this.sizes, fabric.views]);
  }
}
