// The token of a link stands behind the "#", which is never sent. This puts it into the form and sends that.
"use strict";

const form = document.querySelector("[data-link]");
const token = location.hash.slice(1);
if (form && token) {
  form.elements.token.value = token;
  // Nothing of it stays in the address line or in the history of the browser.
  history.replaceState(null, "", location.pathname);
  form.submit();
}
