/**
 * Who may talk to the loopback host: checks on what a browser says about itself, without any socket.
 *
 * A page of another site can make the browser send requests to 127.0.0.1, under a name of its own when it rebinds
 * DNS. It cannot forge the `Host` and `Origin` headers and does not hold the cookie, so all three are asked for.
 */
import { createHash, timingSafeEqual } from "node:crypto";
import type { IncomingHttpHeaders } from "node:http";
import { contentSecurityPolicy } from "./content-policy.ts";

export interface Door {
	/** The one origin that we serve, such as `http://127.0.0.1:4321`. */
	readonly origin: string;
	/** What `Host` must be, such as `127.0.0.1:4321`. */
	readonly host: string;
	readonly cookieName: string;
	readonly cookieValue: string;
}

export type Refusal = "wrong-host" | "wrong-origin" | "cross-site" | "no-cookie";

/** Equal without telling by the time taken how much of it was right; any two lengths. */
export function secretsMatch(given: string, secret: string): boolean {
	return timingSafeEqual(digest(given), digest(secret));
}

function digest(text: string): Buffer {
	return createHash("sha256").update(text).digest();
}

/** Host, origin and site of any request; a browser leaves `Origin` out of plain navigation. */
export function refuseStranger(headers: IncomingHttpHeaders, door: Door): Refusal | null {
	if (headers.host !== door.host) return "wrong-host";
	if (headers.origin !== undefined && headers.origin !== door.origin) return "wrong-origin";
	const site = headers["sec-fetch-site"];
	if (site !== undefined && site !== "same-origin" && site !== "none") return "cross-site";
	return null;
}

/** For everything but the exchange of the token. */
export function refuseRequest(headers: IncomingHttpHeaders, door: Door): Refusal | null {
	return refuseStranger(headers, door) ?? (holdsCookie(headers, door) ? null : "no-cookie");
}

/** A socket upgrade from a browser always names its origin. */
export function refuseUpgrade(headers: IncomingHttpHeaders, door: Door): Refusal | null {
	return headers.origin === undefined ? "wrong-origin" : refuseRequest(headers, door);
}

function holdsCookie(headers: IncomingHttpHeaders, door: Door): boolean {
	for (const part of (headers.cookie ?? "").split(";")) {
		const equals = part.indexOf("=");
		if (equals < 0 || part.slice(0, equals).trim() !== door.cookieName) continue;
		if (secretsMatch(part.slice(equals + 1).trim(), door.cookieValue)) return true;
	}
	return false;
}

/** Sent with every answer. Nothing runs or loads but what we serve, and nobody may frame or embed it. */
export function securityHeaders(door: Door): Readonly<Record<string, string>> {
	return {
		"Content-Security-Policy": contentSecurityPolicy(`'self' ws://${door.host}`),
		"X-Content-Type-Options": "nosniff",
		"X-Frame-Options": "DENY",
		"Referrer-Policy": "no-referrer",
		"Cross-Origin-Opener-Policy": "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
		"Permissions-Policy": "camera=(), microphone=(), geolocation=(), serial=(), usb=()",
		"Cache-Control": "no-store",
	};
}
