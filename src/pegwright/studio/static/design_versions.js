/** The versions of a design: what each changed, and bringing one back. */
import { request } from "./request.js";
import { el, told, when } from "./page.js";

export class VersionsPane {
  /**
   * @param {HTMLElement} root @param {string} address
   * @param {{restore: (number: number) => Promise<any>, name: (name: string) => Promise<any>}} on
   */
  constructor(root, address, on) {
    this.address = address;
    this.on = on;
    this.list = el("ol", { class: "list" });
    const name = /** @type {HTMLInputElement} */ (el("input", { id: "version-name", maxlength: 200 }));
    const form = el("form", { class: "field" },
      el("label", { for: "version-name" }, "Keep it as it is now, under a name"),
      el("div", { class: "row" }, name, el("button", {}, "Keep")));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (!name.value.trim()) return;
      told(async () => {
        await this.on.name(name.value.trim());
        name.value = "";
        await this.refresh();
      });
    });
    root.append(form, el("p", { class: "quiet" },
      "What you type is kept by itself; what follows within a minute becomes one version."), this.list);
  }

  refresh() {
    return told(async () => {
      const versions = await request("GET", `${this.address}/versions`);
      this.list.replaceChildren(...versions.map((version, at) => this.version(version, at === 0)));
    });
  }

  version(version, latest) {
    const title = version.name || `Version ${version.number}`;
    return el("li", {},
      el("div", { class: "what" },
        el("strong", {}, title), version.name ? ` (version ${version.number})` : "",
        el("p", {}, el("time", { datetime: version.saved }, when(version.saved)), latest ? " · as it is now" : ""),
        version.changes.length
          ? el("ul", { class: "changes" }, ...version.changes.map((line) => el("li", {}, line))) : null),
      latest ? null : el("button", { type: "button", onclick: () => told(async () => {
        await this.on.restore(version.number);
        await this.refresh();
      }) }, "Restore", el("span", { class: "spoken" }, ` ${title}`)));
  }
}
