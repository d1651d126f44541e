// Comfort only: times typed on the timeline shift what follows, and the page finds the present minute. What is typed stays in this
// browser; nothing is worked out anew, and nothing on the page needs this file.
(function () {
  "use strict";
  var MINUTES = 1440;
  var STORE = "actuals of ";

  function made(name, kind, text) {
    var part = document.createElement(name);
    part.className = kind;
    part.textContent = text;
    return part;
  }

  function clock(minute) {
    var of = ((minute % MINUTES) + MINUTES) % MINUTES;
    return String(Math.floor(of / 60)).padStart(2, "0") + ":" + String(of % 60).padStart(2, "0");
  }

  // Minutes later than planned of a clock time that was typed, the nearest way round midnight; null of anything else.
  function later(typed, planned) {
    var found = /^([01]?\d|2[0-3]):?([0-5]\d)$/.exec(typed.trim());
    if (!found) { return null; }
    var by = (Number(found[1]) * 60 + Number(found[2]) - planned) % MINUTES;
    return by > MINUTES / 2 ? by - MINUTES : by < -MINUTES / 2 ? by + MINUTES : by;
  }

  function begin(table) {
    var store = STORE + table.dataset.plan;
    var kept = {};
    try { kept = JSON.parse(localStorage.getItem(store) || "{}") || {}; } catch (fault) { /* a page opened from a file may have no store */ }
    var rows = Array.from(table.tBodies[0].rows);
    var fields = rows.map(function (row) {
      var field = document.createElement("input");
      field.type = "text";
      field.inputMode = "numeric";
      field.maxLength = 5;
      field.value = String(kept[row.dataset.at] || "").slice(0, 5);
      field.setAttribute("aria-label", "Actual time, planned " + row.cells[0].textContent.trim());
      row.cells[0].appendChild(made("span", "moved", ""));
      row.lastElementChild.appendChild(field);
      return field;
    });

    function shift() {
      var by = 0;
      rows.forEach(function (row, index) {
        var planned = Number(row.dataset.at);
        var own = later(fields[index].value, planned % MINUTES);
        fields[index].setAttribute("aria-invalid", String(own === null && fields[index].value.trim() !== ""));
        by = own === null ? by : own;
        row.cells[0].querySelector(".moved").textContent = by && own === null ? "→ " + clock(planned + by) : "";
      });
    }

    function keep() {
      var now = {};
      rows.forEach(function (row, index) { if (fields[index].value.trim()) { now[row.dataset.at] = fields[index].value.trim(); } });
      try { localStorage.setItem(store, JSON.stringify(now)); } catch (fault) { /* as above */ }
      shift();
    }

    var bar = made("p", "comfort", "");
    var jump = made("button", "", "Jump to now");
    var clear = made("button", "", "Clear actual times");
    var told = made("span", "told", "Comfort only: an actual time typed below shifts what follows by as much. It stays in this browser; no fuel, light or limit is worked out anew.");
    jump.type = clear.type = "button";
    told.setAttribute("role", "status");
    jump.addEventListener("click", function () {
      var minute = Math.floor(Date.now() / 60000);
      var past = rows.filter(function (row) { return Number(row.dataset.at) <= minute; });
      var ended = minute > Number(rows[rows.length - 1].dataset.at) + MINUTES / 2;
      rows.forEach(function (row) { row.removeAttribute("aria-current"); });
      if (!past.length || ended) {
        told.textContent = clock(minute) + " UTC today lies " + (ended ? "after" : "before") + " the times of this plan.";
        return;
      }
      past[past.length - 1].setAttribute("aria-current", "time");
      past[past.length - 1].scrollIntoView({ block: "center" });
    });
    clear.addEventListener("click", function () {
      fields.forEach(function (field) { field.value = ""; });
      keep();
    });
    [jump, clear, told].forEach(function (part) { bar.appendChild(part); });
    table.parentNode.insertBefore(bar, table);
    fields.forEach(function (field) { field.addEventListener("input", keep); });
    shift();
  }

  document.addEventListener("DOMContentLoaded", function () { document.querySelectorAll("table.times[data-plan]").forEach(begin); });
}());
