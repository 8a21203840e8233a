// Plan and table point at each other: a row under the pointer or with focus lights its outline, and the other way round.
(function () {
  "use strict";
  var links = new Map();
  document.querySelectorAll("[data-plan] a").forEach(function (link) {
    var href = link.getAttribute("href") || link.getAttributeNS("http://www.w3.org/1999/xlink", "href") || "";
    links.set(decodeURIComponent(href.split("/").pop()), link);
  });
  var rows = new Map();
  document.querySelectorAll("[data-number]").forEach(function (row) {
    rows.set(row.dataset.number, row);
  });

  // Why a segment is lit: the pointer is on it, or the focus. One may end while the other lasts.
  var reasons = new Map();

  function light(number, reason, on) {
    var held = reasons.get(number) || new Set();
    reasons.set(number, held);
    if (on) held.add(reason); else held.delete(reason);
    var link = links.get(number);
    var row = rows.get(number);
    if (link) link.classList.toggle("hover", held.size > 0);
    if (row) row.classList.toggle("lit", held.size > 0);
  }

  function follow(element, number) {
    element.addEventListener("pointerenter", function () { light(number, "pointer", true); });
    element.addEventListener("pointerleave", function () { light(number, "pointer", false); });
    element.addEventListener("focusin", function () { light(number, "focus", true); });
    element.addEventListener("focusout", function () { light(number, "focus", false); });
  }

  links.forEach(function (link, number) { follow(link, number); });
  rows.forEach(function (row, number) { follow(row, number); });
})();
