/** The one policy of both hosts; only where a page may connect to differs. */
export function contentSecurityPolicy(connectSources: string): string {
	return [
		"default-src 'none'",
		"script-src 'self'",
		"style-src 'self'",
		"img-src 'self' blob:",
		"font-src 'self'",
		`connect-src ${connectSources}`,
		"worker-src 'self'",
		"base-uri 'none'",
		"form-action 'none'",
		"frame-ancestors 'none'",
	].join("; ");
}
