// Shows what preparing says under the form, so that a manifest can be mended without leaving the page.
(function () {
  "use strict";
  var form = document.querySelector("[data-prepare]");
  var target = document.getElementById("prepared-here");
  if (!form || !target || !window.fetch) return;
  var text = form.querySelector("textarea");
  var file = form.querySelector("input[type=file]");
  var asked = 0;

  file.addEventListener("change", function () {
    var chosen = file.files[0];
    if (!chosen || chosen.size > 4000000) return;
    chosen.text().then(function (content) {
      text.value = content;
      file.value = "";
      text.focus();
    });
  });

  form.addEventListener("submit", function (event) {
    event.preventDefault();
    var mine = ++asked;
    target.textContent = "Preparing…";
    fetch(form.action, { method: "POST", body: new FormData(form), credentials: "same-origin" })
      .then(function (answer) {
        if (answer.redirected) { window.location.assign(answer.url); return null; }
        return answer.text();
      })
      .then(function (html) {
        if (html === null || mine !== asked) return;
        var page = new DOMParser().parseFromString(html, "text/html");
        var shown = page.getElementById("prepared") || page.querySelector("main [role=alert]");
        target.replaceChildren();
        if (!shown) { HTMLFormElement.prototype.submit.call(form); return; }
        shown.querySelectorAll("textarea[name=manifest]").forEach(function (again) { again.closest("form").remove(); });
        // On a page of its own it has the first heading; here the form has it.
        shown.querySelectorAll("h1").forEach(function (first) {
          var second = document.createElement("h2");
          second.append.apply(second, first.childNodes);
          first.replaceWith(second);
        });
        target.append(document.adoptNode(shown));
        target.scrollIntoView({ block: "start" });
      })
      .catch(function () { HTMLFormElement.prototype.submit.call(form); });
  });
})();
