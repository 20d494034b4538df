// @ts-check
/** Parts of an answered page in the place of those on the screen: what the rest of the page holds stays. */

/**
 * The answered page as a document. A plain request can hand one over; text would have to be parsed,
 * which this site forbids itself.
 * @param {'GET' | 'POST'} method
 * @param {string} address
 * @param {URLSearchParams} [typed]
 * @returns {Promise<Document | null>}  nothing where the answer is no page of this kind
 */
export function askPage(method, address, typed) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open(method, address);
    request.responseType = 'document';
    request.onload = () => resolve([200, 409, 422].includes(request.status) ? request.responseXML : null);
    request.onerror = () => reject(new Error('no answer'));
    request.send(typed);
  });
}

/**
 * Puts parts of an answered page, marked by `data-part`, in place of those of this one.
 * @param {Document} answer
 * @param {Document} page
 * @param {string[]} names
 */
export function takeParts(answer, page, names) {
  for (const name of names) {
    const [now, then] = [page, answer].map((one) => one.querySelector(`[data-part="${name}"]`));
    // The same words again would be read aloud once more.
    if (!now || !then || now.isEqualNode(then)) continue;
    now.replaceChildren(...Array.from(then.childNodes, (node) => page.importNode(node, true)));
  }
}
