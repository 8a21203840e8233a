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

  function light(number, on) {
    var link = links.get(number);
    var row = rows.get(number);
    if (link) link.classList.toggle("hover", on);
    if (row) row.classList.toggle("lit", on);
  }

  function follow(element, number) {
    ["pointerenter", "focusin"].forEach(function (name) {
      element.addEventListener(name, function () { light(number, true); });
    });
    ["pointerleave", "focusout"].forEach(function (name) {
      element.addEventListener(name, function () { light(number, false); });
    });
  }

  links.forEach(function (link, number) { follow(link, number); });
  rows.forEach(function (row, number) { follow(row, number); });
})();
