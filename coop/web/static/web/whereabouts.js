// Fills in where one is, when the person asks for it. Without it, degrees are typed.

const DECIMALS = 3; // about a hundred yards: near enough for miles
const form = document.querySelector("[data-whereabouts]");
const offer = form?.querySelector("[data-whereabouts-offer]");

function fill({ coords }) {
  form.elements.latitude.value = coords.latitude.toFixed(DECIMALS);
  form.elements.longitude.value = coords.longitude.toFixed(DECIMALS);
  offer.querySelector("[role=status]").textContent = "Filled in. Nothing is kept before you say so.";
}

function failed() {
  offer.querySelector("[role=status]").textContent = "This device did not say. Type it instead.";
}

if (offer && navigator.geolocation) {
  offer.hidden = false;
  offer.querySelector("button").addEventListener("click", () => {
    navigator.geolocation.getCurrentPosition(fill, failed, { timeout: 20000 });
  });
}
