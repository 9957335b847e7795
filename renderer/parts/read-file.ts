/** A file's bytes as text, a character for each. */
export async function readBytesAsText(file: Blob): Promise<string> {
	return bytesAsText(new Uint8Array(await file.arrayBuffer()));
}

function bytesAsText(bytes: Uint8Array): string {
	const parts: string[] = [];
	// A call takes only so many arguments.
	for (let at = 0; at < bytes.length; at += 8192) {
		parts.push(String.fromCharCode(...bytes.subarray(at, at + 8192)));
	}
	return parts.join("");
}

/** The other way round: the bytes of such a text. */
export function bytesOfBinaryText(text: string): Uint8Array<ArrayBuffer> {
	const bytes = new Uint8Array(text.length);
	for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
	return bytes;
}
