/* Right behind the palettes' buttons, before they are painted: the one that early.js gave to <body> is the pressed one. */
(function (scheme) {
  "use strict";
  document.querySelectorAll('[data-md-component="palette"] input').forEach(function (input) {
    input.checked = input.getAttribute("data-md-color-scheme") === scheme;
  });
})(document.body.getAttribute("data-md-color-scheme"));
