/** The whole fabric of the size on the loom: which side is shown. */
import { fetchCells } from "./fabric_canvas.js";
import { request } from "./request.js";

/**
 * @param {import("./fabric_canvas.js").FabricCanvas} fabric
 * @param {HTMLSelectElement} choose @param {HTMLElement} words
 * @param {string} address @param {Record<string, string>} query
 */
export async function showFabric(fabric, choose, words, address, query) {
  const section = /** @type {HTMLElement} */ (fabric.closest("section"));
  section.hidden = true;
  const { sheets } = await request("GET", `${address}/fabric?${new URLSearchParams(query)}`);
  if (!sheets.length) return;
  choose.replaceChildren(...sheets.map((sheet) => new Option(sheet.title, sheet.key)));
  section.hidden = false;
  const show = async () => {
    const sheet = sheets.find((one) => one.key === choose.value) ?? sheets[0];
    fabric.show(sheet, await fetchCells(address, { ...query, sheet: sheet.key }));
    words.textContent = sheet.words;
  };
  choose.onchange = () => show().catch((failure) => { words.textContent = failure.message; });
  await show();
}
