// A scanner types like a very fast keyboard. This keeps the field ready for it: a key pressed anywhere on the page goes
// into the field, the old text is replaced by the next scan, and control characters that a scanner sends with Ctrl do
// not open browser dialogs.
(function () {
  "use strict";
  var field = document.querySelector("[data-scan]");
  if (!field) return;
  var SEPARATORS = { "]": "\u001d", "^": "\u001e", "d": "\u0004" };
  var BURST_MS = 60;
  var lastKeyAt = -1e9;

  function insert(text) {
    field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
  }

  function takesTyping(element) {
    return element && element.matches("input, textarea, select, button, a, summary, [contenteditable]") && element !== field;
  }

  document.addEventListener("keydown", function (event) {
    var now = event.timeStamp;
    var inBurst = now - lastKeyAt < BURST_MS;
    lastKeyAt = now;
    if (event.isComposing) return;
    if (event.ctrlKey && !event.altKey && !event.metaKey) {
      var separator = SEPARATORS[event.key.toLowerCase()];
      if (separator && inBurst && document.activeElement === field) {
        event.preventDefault();
        insert(separator);
      }
      return;
    }
    if (event.altKey || event.metaKey || event.key.length !== 1) return;
    if (takesTyping(document.activeElement)) return;
    if (document.activeElement !== field) {
      field.focus();
      field.select();
    }
  });

  field.addEventListener("focus", function () { field.select(); });
  if (document.activeElement === field) field.select();

  // Back by the browser's history: ready again. A first visit is the autofocus attribute's business.
  window.addEventListener("pageshow", function (event) {
    if (event.persisted && !takesTyping(document.activeElement)) {
      field.focus();
      field.select();
    }
  });
})();
