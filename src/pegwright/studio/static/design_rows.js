/** New rows of a design's lists, and what can be taken into a group from the library. */
import { request } from "./request.js";
import { el, told } from "./page.js";
import { idOf } from "./form.js";

/** What a new row begins with, where there is none to be like. */
const START = {
  yarns: { name: "New yarn", category: "4", metres_per_100g: "175", colour_hex: "#a33b1f", wraps_per_inch: "10" },
  swatches: { stitches: "20", width: "6 in", rows: "24", length: "4 in" },
  wraps: { name: "my wrap" },
  "cost.others": { name: "label", amount: "0" },
};
/** Lists whose new rows are not like the last one. */
const ALWAYS_NEW = new Set(["yarns", "wraps", "cost.others"]);

/** The change that adds a row to a group: like the last one, under a name of its own. */
export function newRow(group) {
  const last = group.rows[group.rows.length - 1];
  /** @type {Record<string, any>} */
  let row = { ...(START[group.key] ?? {}) };
  if (last && !ALWAYS_NEW.has(group.key)) row = valuesOf(last);
  if (group.key === "stripes") row = stripe(group);
  if (group.key.includes(".courses")) row = pass(last);
  if ("name" in row || group.key === "sizes") row.name = unused(group, row.name ?? "one size");
  return { do: "add", path: group.key, row };
}

/** What stands in a field now, sent or not. */
function now(field) {
  const input = /** @type {HTMLInputElement|null} */ (document.getElementById(idOf(field.path)));
  return input && input.type !== "checkbox" ? input.value : field.value;
}

function valuesOf(row) {
  const named = row.fields.map((f) => [f.path.slice(row.path.length + 1), now(f)]);
  return Object.fromEntries(named.filter(([name, value]) => value !== "" && !name.includes(".")));
}

/** A pass like the last one, back the other way; of a course, its last pass. */
function pass(last) {
  const before = last?.lists?.length ? last.lists[0].rows.at(-1) : last;
  const { way, columns } = before ? valuesOf(before) : { way: "left", columns: "F" };
  return { way: way === "right" ? "left" : "right", columns };
}

function stripe(group) {
  const last = group.rows[group.rows.length - 1]?.fields ?? [];
  const before = last.find((f) => f.path.endsWith(".yarn"));
  const yarns = before?.choices.map((c) => c.value) ?? [];
  const yarn = before && now(before);
  const rows = last.find((f) => f.path.endsWith(".rows"));
  return { yarn: yarns.find((name) => name !== yarn) ?? yarn ?? firstYarn(), rows: rows ? now(rows) : "10" };
}

function firstYarn() {
  return /** @type {HTMLInputElement|null} */ (document.getElementById("f:yarns[1].name"))?.value ?? "";
}

function unused(group, wanted) {
  const names = new Set(group.rows.map((r) => r.title));
  if (!names.has(wanted)) return wanted;
  for (let number = 2; ; number += 1) {
    const name = `${wanted.replace(/ \d+$/, "")} ${number}`;
    if (!names.has(name)) return name;
  }
}

const KINDS = {
  loom: ["board", "Take a board from the library"],
  yarns: ["yarn", "Take a yarn from the library"],
  sizes: ["person", "Add a size for someone in the library"],
  swatches: ["swatch", "Take a swatch from the library"],
};

/** @type {Map<string, Promise<any>>} */
const lists = new Map();

/** A choice of the library's records that have a place in this group; nothing where there are none. */
export function libraryChooser(group, take) {
  const [kind, words] = KINDS[group.key] ?? [];
  if (!kind) return null;
  const box = el("div", { class: "field", hidden: true });
  if (!lists.has(kind)) lists.set(kind, request("GET", `/api/library/records?kind=${kind}`).catch(() => []));
  lists.get(kind)?.then((records) => {
    if (!records.length) return;
    const id = `take-${group.key}`;
    const select = /** @type {HTMLSelectElement} */ (el("select", { id },
      el("option", { value: "" }, "choose"),
      ...records.map((r) => el("option", { value: r.id }, r.name))));
    const place = group.key === "yarns" && group.rows.length
      ? el("select", { "aria-label": "Where it goes" }, el("option", { value: "" }, "as a further yarn"),
        ...group.rows.map((row, at) => el("option", { value: at + 1 }, `in place of ${row.title}`)))
      : null;
    const button = el("button", { type: "button", onclick: () => select.value && told(() =>
      take(select.value, place ? Number(/** @type {any} */ (place).value) || undefined : undefined)) }, "Take it");
    box.append(el("label", { for: id }, words), el("div", { class: "row" }, select, place, button));
    box.hidden = false;
  });
  return box;
}
