/** Pairing a phone; a code that came with the QR code stands after the # and is typed in already. */
const form = document.getElementById("pair-form");
const code = document.getElementById("pair-code");
const said = document.getElementById("pair-said");

const brought = /^#(\d{4,12})$/.exec(location.hash);
if (brought) {
  code.value = brought[1].replace(/(\d{4})(?=\d)/g, "$1 ");
  history.replaceState(null, "", location.pathname);
  document.getElementById("pair-name").focus();
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  said.textContent = "";
  code.removeAttribute("aria-invalid");
  try {
    const answer = await fetch("/api/pair", {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json" },
      body: JSON.stringify({ code: code.value, name: document.getElementById("pair-name").value }),
    });
    if (answer.ok) {
      location.replace("/follow/");
      return;
    }
    const told = await answer.json();
    code.setAttribute("aria-invalid", "true");
    said.textContent = `${told.error.charAt(0).toUpperCase()}${told.error.slice(1)}. ${told.try ? `Try: ${told.try}.` : ""}`;
    code.focus();
  } catch {
    said.textContent = "The studio does not answer. See whether sharing is still on.";
  }
});
