/* The device's own position, where the browser gives it: over https or on this machine itself. */
"use strict";

(() => {
  const row = document.getElementById("own-position");
  const box = document.getElementById("id_position");
  if (!row || !box || !window.isSecureContext || !navigator.geolocation) return;
  const told = row.querySelector("[role=status]");
  row.hidden = false;
  row.querySelector("button").addEventListener("click", () => {
    told.textContent = "Asking the device…";
    navigator.geolocation.getCurrentPosition(
      (found) => {
        /* Two figures behind the point: a kilometre tells enough, and no more is kept. */
        box.value = `${found.coords.latitude.toFixed(2)}, ${found.coords.longitude.toFixed(2)}`;
        told.textContent = "It stands in the box below.";
        box.focus();
      },
      () => { told.textContent = "The device did not give it; write it below."; },
      { maximumAge: 600000, timeout: 20000 },
    );
  });
})();
