// Which phone this is on the daemon's list: the same as daemon/push/phone-book.ts makes of a subscription's address.

export async function phoneId(endpoint: string): Promise<string> {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(endpoint));
  const text = btoa(String.fromCharCode(...new Uint8Array(digest)));
  return text.replaceAll("+", "-").replaceAll("/", "_").slice(0, 22);
}
