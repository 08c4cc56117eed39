// Where a browser's push service may stand: on the internet. Whoever takes a phone up gives an address that we then go to;
// one of this machine or of the network around it would let him look about there through us.

import { type LookupAddress, lookup } from "node:dns";
import { BlockList, isIP, type LookupFunction } from "node:net";

/** IPv4 of special purpose (IANA's registry, RFC 6890): of this machine, private, shared, for documents, to many. */
const special4 = listOf("ipv4", [
  ...["0.0.0.0/8", "10.0.0.0/8", "100.64.0.0/10", "127.0.0.0/8", "169.254.0.0/16", "172.16.0.0/12", "192.0.0.0/24"],
  ...["192.0.2.0/24", "192.168.0.0/16", "198.18.0.0/15", "198.51.100.0/24", "203.0.113.0/24", "224.0.0.0/4"],
  "240.0.0.0/4",
]);
/** Global unicast (RFC 4291), and IPv4 behind the well-known prefix, which stands for no private one (RFC 6052, 3.1). */
const global6 = listOf("ipv6", ["2000::/3", "64:ff9b::/96"]);
/** Documents, and IPv4 of any kind in tunnels (RFC 3849, 4380, 3056). */
const special6 = listOf("ipv6", ["2001:db8::/32", "2001::/32", "2002::/16"]);

/** @param address IPv4 or IPv6; anything else is none */
export function isPublicAddress(address: string): boolean {
  const family = isIP(address);
  if (family === 4) return !special4().check(address, "ipv4");
  return family === 6 && global6().check(address, "ipv6") && !special6().check(address, "ipv6");
}

/** Why an address is not gone to that needs no look-up; null: it does, or it is public. */
export function literalProblem(hostname: string): string | null {
  const literal = hostname.replace(/^\[|\]$/g, "");
  return isIP(literal) === 0 || isPublicAddress(literal) ? null : notPublic;
}

/** As the system's look-up, but for addresses that are not public: what is connected to is what was looked at. */
export const lookupPublic: LookupFunction = (hostname, options, done) => {
  lookup(hostname, { ...options, all: true }, (error, found: LookupAddress[]) => {
    if (error !== null) return done(error, "");
    const known = found.filter(({ address }) => isPublicAddress(address));
    const [first] = known;
    if (first === undefined) return done(new Error(notPublic), "");
    if (options.all === true) return done(null, known);
    done(null, first.address, first.family);
  });
};

const notPublic =
  "is not on the internet but in a network of its own, where we do not go; only a push service with a `ca` may be there";

/** Made when it is first asked for: a command that tells nobody loads no network for it. */
function listOf(family: "ipv4" | "ipv6", ranges: readonly string[]): () => BlockList {
  let list: BlockList | null = null;
  return () => {
    if (list !== null) return list;
    list = new BlockList();
    for (const range of ranges) {
      const [net = "", prefix] = range.split("/");
      list.addSubnet(net, Number(prefix), family);
    }
    return list;
  };
}
