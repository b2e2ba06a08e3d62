/** The studio's own page of makings: starting one, how far each is, and letting phones in. */
import { ask, el, sayFailure, told, when } from "./page.js";
import { request } from "./request.js";

// --- makings --------------------------------------------------------------------------------------

for (const button of document.querySelectorAll("[data-stage]")) {
  button.addEventListener("click", () => told(async () => {
    const { making, stage } = button.dataset;
    await request("POST", `/api/follow/makings/${making}/stage`, { stage });
    location.reload();
  }));
}

const design = document.getElementById("start-design");
const size = document.getElementById("start-size");

const yarnPlace = document.getElementById("start-yarns");

async function showSizes() {
  const { sizes, yarns } = await request("GET", `/api/follow/designs/${design.value}/sizes`);
  size.replaceChildren(...sizes.map((name) => el("option", { value: name }, name)));
  yarnPlace.hidden = !yarns.length;
  yarnPlace.replaceChildren(el("fieldset", {},
    el("legend", {}, "Yarns of your library"),
    el("p", { class: "quiet" }, "What you weigh at the loom goes into the weight history of these."),
    el("div", { class: "fields" }, ...yarns.map((yarn, at) => el("div", { class: "field" },
      el("label", { for: `start-yarn-${at}` }, yarn.name),
      el("select", { id: `start-yarn-${at}`, "data-yarn": true },
        ...yarn.own.map((own) => el("option", { value: own.id }, own.name)),
        el("option", { value: "" }, "none of them")))))));
}

const chosenYarns = () => [...yarnPlace.querySelectorAll("[data-yarn]")].map((choice) => choice.value).filter(Boolean);

if (design) {
  design.addEventListener("change", () => told(showSizes));
  told(showSizes);
  document.getElementById("start-form").addEventListener("submit", (event) => {
    event.preventDefault();
    told(async () => {
      const made = await request("POST", "/api/follow/makings", {
        design: design.value, size: size.value, name: document.getElementById("start-name").value,
        yarns: [...new Set(chosenYarns())],
      });
      location.href = `/follow/${made.id}`;
    });
  });
}

// --- sharing --------------------------------------------------------------------------------------

const place = document.getElementById("sharing");
let code = null;
let timer = 0;

function button(words, work, kind = "") {
  return el("button", { type: "button", class: kind || null, onclick: () => told(work) }, words);
}

async function show(view) {
  clearInterval(timer);
  const parts = view.on ? onParts(view) : offParts(view);
  place.replaceChildren(...parts, ...deviceParts(view));
  if (view.on && code) timer = setInterval(countDown, 1000);
}

function offParts(view) {
  if (!view.addresses.length) {
    return [
      el("p", {}, "Sharing is off: the studio answers to this computer only."),
      el("p", { class: "quiet" }, "This computer is in no network of its own, so there is no address for a phone."),
    ];
  }
  const choose = el("select", { id: "sharing-address" },
    ...view.addresses.map((address) => el("option", { value: address }, address)));
  const way = (value, title, words) => el("label", { class: "check sharing-way" },
    el("input", { type: "radio", name: "sharing-way", value, checked: (value === "encrypted") === view.has_certificate }),
    el("span", {}, el("strong", {}, title), el("span", { class: "quiet" }, words)));
  const ways = el("fieldset", { class: "sharing-ways" }, el("legend", {}, "How phones are let in"),
    way("plain", "Plainly. ", "Nothing to set up on the phone. It counts along while its page stays open."),
    way("encrypted", "Encrypted. ", "The phone can keep the page as an app, open it with the network off and keep its screen on. "
      + "Once, it must be told to trust this studio."));
  return [
    el("p", {}, "Sharing is off: the studio answers to this computer only."),
    ways,
    view.addresses.length > 1 ? el("div", { class: "field" },
      el("label", { for: "sharing-address" }, "This computer's address"), choose) : "",
    button("Let phones in", async () => {
      const address = choose.value || view.addresses[0];
      const encrypted = ways.querySelector("input:checked")?.value === "encrypted";
      code = null;
      await show(await request("POST", "/api/sharing/on", { address, port: view.port, encrypted }));
      await newCode();
    }, "main"),
    view.has_certificate ? certificatePart() : "",
  ];
}

function certificatePart() {
  return el("details", { class: "more" }, el("summary", {}, "The certificate"),
    el("p", {}, "Phones that were told to trust this studio know it by its certificate. Make a new one where somebody else may have had this computer in hand; every phone must then be told anew."),
    button("Make a new certificate", async () => {
      if (!await ask("Make a new certificate? Phones that trust this studio must be told anew.", "Make a new one")) return;
      await show(await request("POST", "/api/sharing/certificate/new", {}));
    }));
}

function onParts(view) {
  return [
    el("p", {}, "Phones in this network can be paired at ", el("strong", {}, view.url), "."),
    view.trust ? trustPart(view.trust, !view.devices.length) : "",
    code && view.trust ? el("h3", {}, "Then pair it") : "",
    code ? codePart() : "",
    el("div", { class: "row" },
      button(code ? "A new code" : "Pair a phone", newCode, code ? "" : "main"),
      button("Turn sharing off", async () => {
        code = null;
        await show(await request("POST", "/api/sharing/off", {}));
      })),
  ];
}

function trustPart(trust, open) {
  return el("details", { class: "more", open }, el("summary", {}, "First, once for each phone: trust this studio"),
    el("div", { class: "pairing" },
      el("img", { class: "qr", src: picture(trust.qr_svg), alt: `QR code of the address ${trust.url}` }),
      el("div", {},
        el("p", {}, "Point the phone's camera at the square, or open ", el("strong", {}, trust.url), " there, and do what that page says."),
        el("p", {}, "The certificate's fingerprint (SHA-256) on the phone must be the same as this:"),
        el("p", { class: "fingerprint" }, trust.fingerprint),
        el("p", {}, el("a", { href: "/api/sharing/certificate", download: true }, "Save the certificate"),
          " to carry it to the phone by other means."))));
}

function codePart() {
  return el("div", { class: "pairing" },
    el("img", { class: "qr", src: picture(code.qr_svg), alt: `QR code of the address ${code.url} with the code` }),
    el("div", {},
      el("p", {}, "Point the phone's camera at the square, or open ", el("strong", {}, code.url), " there and type:"),
      el("p", { class: "code", id: "pairing-code" }, code.code),
      el("p", { class: "quiet", id: "pairing-left" }, "")));
}

/** A drawing as the address of a picture. @param {string} svg */
function picture(svg) {
  const whole = svg.includes("xmlns=") ? svg : svg.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"');
  return `data:image/svg+xml,${encodeURIComponent(whole)}`;
}

function countDown() {
  const left = Math.max(0, Math.round((code.until - Date.now()) / 1000));
  const words = document.getElementById("pairing-left");
  if (words) {
    words.textContent = left
      ? `Good for one phone, for ${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")} more.`
      : "This code is too old now. Ask for a new one.";
  }
  if (left % 3 === 0) askWhoIsPaired();
}

let shown = "";

async function askWhoIsPaired() {
  try {
    const view = await request("GET", "/api/sharing");
    const ids = view.devices.map((device) => device.id).join();
    if (ids !== shown) {
      code = null;
      await show(view);
    }
  } catch (failure) {
    clearInterval(timer);
    sayFailure(failure);
  }
}

async function newCode() {
  code = await request("POST", "/api/sharing/code", {});
  code.until = Date.now() + code.lasts_s * 1000;
  await show(await request("GET", "/api/sharing"));
  countDown();
}

function deviceParts(view) {
  shown = view.devices.map((device) => device.id).join();
  if (!view.devices.length) return [];
  return [
    el("h3", {}, "Paired phones"),
    el("ul", { class: "list" }, ...view.devices.map((device) =>
      el("li", {},
        el("div", { class: "what" }, el("strong", {}, device.name),
          el("p", {}, device.heard ? `last heard of ${when(device.heard)}` : `paired ${when(device.paired)}`)),
        el("button", {
          type: "button",
          onclick: () => told(async () => show(await request("DELETE", `/api/sharing/devices/${device.id}`))),
        }, "Take off the list", el("span", { class: "spoken" }, ` ${device.name}`))))),
  ];
}

told(async () => show(await request("GET", "/api/sharing")));
