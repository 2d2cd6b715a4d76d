/*
 * Copies a letter. Without script it is selected and copied as any text; the button stays hidden.
 */
(function () {
  "use strict";
  Array.prototype.forEach.call(document.querySelectorAll("[data-rl-letter]"), function (box) {
    var letter = box.querySelector("pre"), tools = box.querySelector(".rl-letter-tools");
    var told = tools.querySelector("output");

    /* Where a page may not write to the clipboard, the letter is selected, so that one key copies it. */
    function select() {
      var range = document.createRange(), selection = getSelection();
      range.selectNodeContents(letter);
      selection.removeAllRanges();
      selection.addRange(range);
      letter.focus();
    }
    function copied() { told.textContent = "Copied."; }
    function by_hand() {
      select();
      told.textContent = document.execCommand("copy") ? "Copied." : "Selected: copy it with your keyboard.";
    }
    tools.querySelector("button").addEventListener("click", function () {
      if (navigator.clipboard) {
        navigator.clipboard.writeText(letter.textContent).then(copied, by_hand);
      } else {
        by_hand();
      }
    });
    tools.hidden = false;
  });
})();
