/** The words of the account page. */

export const asking = "Asking ingle who you are …";

export const claim = {
  heading: "Become the owner",
  form: "With the claim code",
  summary:
    "Nobody has an account yet, so whoever is at this machine is taken for the owner. " +
    "Type the claim code that ingle wrote where it was started, and make the account that rules from then on.",
  code: "Claim code",
  id: "Short name, for signing in",
  name: "Your name",
  password: "Password, ten characters or more; a sentence is best",
  send: "Become the owner",
};

export const signIn = {
  heading: "Sign in",
  summary: "Say who you are. Heating goes on meanwhile.",
  id: "Short name",
  password: "Password",
  send: "Sign in",
};

export const mine = {
  summary: (/** @type {string} */ who, /** @type {string} */ role) => `You are ${who}, ${role}.`,
  roles: {
    owner: "owner of this house",
    installer: "installer",
    occupant: "occupant",
    reader: "reader: you see everything and change nothing",
  },
  zones: (/** @type {string} */ zones) => `You see and ask in your own rooms: ${zones}.`,
  signOut: "Sign out",
  proofs: "Where you are signed in",
  session: "a browser",
  token: (/** @type {string} */ label) => `token: ${label}`,
  until: (/** @type {string} */ used, /** @type {string} */ until) => `last used ${used}, good until ${until}`,
  end: "End",
  password: "Change the password",
  present: "Password until now",
  next: "New password, ten characters or more",
  change: "Change it",
  changed: "Changed. Everything else that you were signed in with has ended.",
  newToken: "A token for a script",
  label: "What it is for",
  make: "Make it",
  made: "Copy it now: it is not shown again.",
};

export const people = {
  heading: "People",
  add: "Add somebody",
  id: "Short name, for signing in",
  name: "Name",
  role: "May",
  zones: "Their rooms, for an occupant: ids with commas between",
  password: "A password for the start",
  send: "Add",
  close: "Close the account",
  closed: (/** @type {string} */ at) => `closed ${at}`,
  roles: { reader: "look at everything", occupant: "see and ask in their own rooms", installer: "survey, bind, set limits", owner: "everything" },
  of: (/** @type {string} */ role, /** @type {string} */ zones) => (zones ? `${role} of ${zones}` : role),
};

