// Comfort only: a dark view in red for a cockpit at night. Nothing on a page needs this file.
(function () {
  "use strict";
  var root = document.documentElement;
  var button = document.createElement("button");
  function set(on) {
    root.classList.toggle("red-light", on);
    button.setAttribute("aria-pressed", String(on));
    try { localStorage.setItem("red-light", on ? "1" : ""); } catch (fault) { /* a page opened from a file may have no store */ }
  }
  button.type = "button";
  button.className = "light";
  button.textContent = "Red light";
  button.addEventListener("click", function () { set(!root.classList.contains("red-light")); });
  var stored = "";
  try { stored = localStorage.getItem("red-light") || ""; } catch (fault) { stored = ""; }
  set(stored === "1");
  var header = document.querySelector("header");
  if (header) { header.appendChild(button); }
}());
