// A call without waiting for pages: each answer, and the mark while it is typed, fetches the page of the new state and
// puts its parts in the place of the old ones. The address follows, so that the browser's way back takes an answer back.
// Keys, outside a field: 1 to 9 press an answer, 0 says that the caller does not know, / goes to the mark.
(function () {
  "use strict";
  var markForm = document.getElementById("call-mark");
  if (!markForm || !window.fetch || !window.DOMParser) return;
  var mark = document.getElementById("mark");
  var status = document.querySelector("[data-part=status]");
  var PAUSE_MS = 350;
  var LISTEN_MS = 2500;
  var pause = null;
  var running = null;

  function address(form, submitter) {
    var data = new FormData(form);
    if (submitter && submitter.name) data.append(submitter.name, submitter.value);
    var query = new URLSearchParams();
    data.forEach(function (value, name) {
      if (typeof value === "string" && value !== "") query.append(name, value);
    });
    return form.getAttribute("action") + "?" + query.toString();
  }

  function part(root, name) {
    return root.querySelector("[data-part=" + name + "]");
  }

  // What is typed stays: the mark's own field is never put in the place of the one under somebody's fingers.
  function show(html, typing) {
    var fresh = new DOMParser().parseFromString(html, "text/html");
    if (!part(fresh, "found")) return false;
    ["problem", "said", "question", "found", "send"].forEach(function (name) {
      part(document, name).replaceChildren.apply(part(document, name), part(fresh, name).childNodes);
    });
    // Forms that stay, with what was typed into them, carry the new state of the call.
    document.querySelectorAll("[data-carried]").forEach(function (held) {
      held.innerHTML = fresh.querySelector("[data-carried=" + held.dataset.carried + "]").innerHTML;
    });
    status.textContent = part(fresh, "status").textContent;
    var title = document.querySelector("h1");
    title.textContent = fresh.querySelector("h1").textContent;
    if (!typing) {
      mark.value = fresh.getElementById("mark").value;
      document.querySelectorAll("input[name=came_by]").forEach(function (radio) {
        radio.checked = fresh.querySelector("input[name=came_by][value=" + radio.value + "]").checked;
      });
    }
    return true;
  }

  function load(url, how) {
    if (pause) { clearTimeout(pause); pause = null; }
    if (running) running.abort();
    var mine = running = new AbortController();
    document.body.classList.add("asking");
    fetch(url, { credentials: "same-origin", signal: mine.signal, headers: { Accept: "text/html" } })
      .then(function (answer) {
        return answer.text().then(function (html) {
          if (mine !== running) return;
          var came = new URL(answer.url);
          if (came.pathname !== "/desk/call" || !show(html, how === "typing")) { window.location.assign(answer.url); return; }
          if (how !== "back") {
            history[how === "typing" ? "replaceState" : "pushState"](null, "", came.pathname + came.search);
          }
          if (how === "answer") focusNext();
        });
      })
      .catch(function (error) {
        if (error.name === "AbortError") return;
        status.textContent = "The service does not answer. Nothing that was typed is lost; press Search to try again.";
      })
      .finally(function () {
        if (mine === running) { running = null; document.body.classList.remove("asking"); }
      });
  }

  function focusNext() {
    var next = document.querySelector("[data-answer]") || document.getElementById("told") ||
      document.querySelector(".likely button");
    if (next) next.focus({ preventScroll: false });
  }

  // The caller's answer from the telephone, as long as a link is open.
  var caller = part(document, "caller");
  function listen() {
    var ask = caller.dataset.askAgain;
    if (!ask) return;
    if (document.hidden) { setTimeout(listen, LISTEN_MS); return; }
    fetch(ask, { credentials: "same-origin" })
      .then(function (answer) { return answer.ok ? answer.text() : ""; })
      .then(function (html) {
        var fresh = html && part(new DOMParser().parseFromString(html, "text/html"), "caller");
        if (fresh && fresh.textContent.trim() !== caller.textContent.trim()) {
          caller.replaceChildren.apply(caller, fresh.childNodes);
        }
      })
      .catch(function () {})
      .finally(function () { setTimeout(listen, LISTEN_MS); });
  }
  setTimeout(listen, LISTEN_MS);

  // A photograph that is dropped on the page or pasted into it is sent at once.
  var photoForm = document.querySelector("[data-photo]");
  function take(files) {
    var field = photoForm.querySelector("input[type=file]");
    for (var index = 0; files && index < files.length; index += 1) {
      if (files[index].type.indexOf("image/") === 0) {
        var one = new DataTransfer();
        one.items.add(files[index]);
        field.files = one.files;
        photoForm.requestSubmit();
        return true;
      }
    }
    return false;
  }
  if (photoForm) {
    document.addEventListener("dragover", function (event) {
      if (Array.prototype.indexOf.call(event.dataTransfer.types, "Files") >= 0) event.preventDefault();
    });
    document.addEventListener("drop", function (event) { if (take(event.dataTransfer.files)) event.preventDefault(); });
    document.addEventListener("paste", function (event) { if (take(event.clipboardData.files)) event.preventDefault(); });
  }

  mark.addEventListener("input", function () {
    if (pause) clearTimeout(pause);
    pause = setTimeout(function () { load(address(markForm), "typing"); }, PAUSE_MS);
  });
  markForm.addEventListener("change", function (event) {
    if (event.target.name === "came_by") load(address(markForm), "typing");
  });
  document.addEventListener("submit", function (event) {
    if (!event.target.matches("[data-live-form]")) return;
    event.preventDefault();
    load(address(event.target, event.submitter), "answer");
  });
  document.addEventListener("click", function (event) {
    var link = event.target.closest("a[data-live]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
    event.preventDefault();
    load(link.href, "answer");
  });
  window.addEventListener("popstate", function () { load(window.location.href, "back"); });

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    var typing = event.target.matches("input:not([type=radio]), textarea, select");
    if (event.key === "Escape" && typing && event.target !== mark) { mark.focus(); return; }
    if (typing) {
      // Down from the mark, where a list would open: to the answers.
      if (event.key === "ArrowDown" && event.target === mark) { event.preventDefault(); focusNext(); }
      return;
    }
    if (event.key === "/" || event.key === "Escape") { event.preventDefault(); mark.focus(); return; }
    if (event.key === "0") { press(document.querySelector("[data-pass]"), event); return; }
    if (/^[1-9]$/.test(event.key)) press(document.getElementById("answer-" + event.key), event);
    if (event.key === "ArrowDown" || event.key === "ArrowUp") step(event);
  });

  function press(button, event) {
    if (!button) return;
    event.preventDefault();
    button.click();
  }

  function step(event) {
    var all = Array.prototype.slice.call(document.querySelectorAll("[data-answer], [data-pass]"));
    var at = all.indexOf(document.activeElement);
    if (at < 0) return;
    event.preventDefault();
    var next = at + (event.key === "ArrowDown" ? 1 : -1);
    if (next < 0) mark.focus(); else if (next < all.length) all[next].focus();
  }
})();
