// What the page says: messages from the server's own files, with their values put in.
(function () {
  "use strict";

  let known = {}, round = {};

  const t = (name, values = {}) => {
    const text = known[name];
    if (text === undefined) throw new Error(`there is no such message: ${name}`);
    return text.replace(/\{ \$([a-z]+) \}/g, (_, key) => {
      if (!(key in values)) throw new Error(`a value of this message is missing: ${name}, ${key}`);
      return values[key];
    });
  };
  const takeWords = (words) => { known = words.messages; round = words.lengths; };
  const lengths = (system) => round[system];

  window.LinescopeParts = Object.assign(window.LinescopeParts || {}, { t, takeWords, lengths });
})();
