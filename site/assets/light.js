// Comfort only: a dark view in red for a cockpit at night, and the list of pages shut on a phone. Nothing on a page needs this file. It runs before the first paint, so
// that a page opened at night never shows white.
(function () {
  "use strict";
  var root = document.documentElement;
  var stored = "";
  try { stored = localStorage.getItem("red-light") || ""; } catch (fault) { /* a page opened from a file may have no store */ }
  root.classList.toggle("red-light", stored === "1");
  document.addEventListener("DOMContentLoaded", function () {
    var pages = document.querySelector("nav details");
    if (pages && window.matchMedia("(max-width: 40rem)").matches) { pages.open = false; }
    var header = document.querySelector("header");
    if (!header) { return; }
    var button = document.createElement("button");
    button.type = "button";
    button.className = "light";
    button.textContent = "Red light";
    button.setAttribute("aria-pressed", String(root.classList.contains("red-light")));
    button.addEventListener("click", function () {
      var on = root.classList.toggle("red-light");
      button.setAttribute("aria-pressed", String(on));
      try { localStorage.setItem("red-light", on ? "1" : ""); } catch (fault) { /* as above */ }
    });
    header.appendChild(button);
  });
}());
