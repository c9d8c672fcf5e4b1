// The token stands in the fragment, which no server sees: put it into the form, take it out of the
// address (and so out of the history), and send it by POST.
const form = document.getElementById("link");
const token = window.location.hash.slice(1);
if (token) {
  window.history.replaceState(null, "", window.location.pathname);
  form.elements.token.value = token;
  form.requestSubmit();
}
