/** What can be measured on a page for whoever sees badly, is far away, or has a hand that trembles. */
import type { Page } from "playwright-core";

/** A screen of 24 inches, 16:9, with 1920 pixels across: 531 mm. Seen from three metres. */
const MILLIMETRES_PER_PIXEL = (24 * 25.4 * (16 / Math.hypot(16, 9))) / 1920;
const DISTANCE_MILLIMETRES = 3000;

/** Height of figures and capitals on that screen, minutes of arc, of the smallest element that is found. */
export async function letterMinutes(page: Page, selector: string): Promise<number> {
	const pixels = await page.locator(selector).evaluateAll((elements) => {
		const brush = document.createElement("canvas").getContext("2d")!;
		const heights = elements.map((element) => {
			const { fontWeight, fontSize, fontFamily } = getComputedStyle(element);
			brush.font = `${fontWeight} ${fontSize} ${fontFamily}`;
			const scale = element instanceof SVGGraphicsElement ? element.getScreenCTM()!.d : 1;
			return scale * brush.measureText("H").actualBoundingBoxAscent;
		});
		return Math.min(...heights);
	});
	return Math.atan((pixels * MILLIMETRES_PER_PIXEL) / DISTANCE_MILLIMETRES) * (180 / Math.PI) * 60;
}

/** Texts whose contrast is below 4.5:1, or 3:1 where they are large. W3C, Web Content Accessibility Guidelines 2.2, 1.4.3;
 *  relative luminance and ratio as defined there. */
export function lowContrastTexts(page: Page): Promise<string[]> {
	return page.evaluate(() => {
		const canvas = document.createElement("canvas");
		canvas.width = 1;
		canvas.height = 1;
		const brush = canvas.getContext("2d", { willReadFrequently: true })!;
		const read = (colour: string): number[] => {
			brush.clearRect(0, 0, 1, 1);
			brush.fillStyle = colour;
			brush.fillRect(0, 0, 1, 1);
			return [...brush.getImageData(0, 0, 1, 1).data];
		};
		const luminance = (rgb: readonly number[]): number => {
			const [r, g, b] = rgb.slice(0, 3).map((byte) => {
				const share = byte / 255;
				return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
			});
			return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
		};
		const backOf = (element: Element | null): number[] => {
			for (let at = element; at !== null; at = at.parentElement) {
				const back = read(getComputedStyle(at).backgroundColor);
				if (back[3] === 255) return back;
			}
			return [255, 255, 255];
		};
		const found: string[] = [];
		const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
			const element = node.parentElement;
			const text = node.textContent?.trim() ?? "";
			if (element === null || text === "" || element.closest(":disabled, .visually-hidden, .gauge") !== null)
				continue;
			if (!element.checkVisibility({ visibilityProperty: true })) continue;
			const style = getComputedStyle(element);
			const front = luminance(read(element instanceof SVGElement ? style.fill : style.color));
			const back = luminance(backOf(element));
			const ratio = (Math.max(front, back) + 0.05) / (Math.min(front, back) + 0.05);
			const size = Number.parseFloat(style.fontSize);
			const isLarge = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
			if (ratio < (isLarge ? 3 : 4.5)) found.push(`${text}: ${ratio.toFixed(2)}`);
		}
		return found;
	});
}

/** Names of what can be pressed on the screen itself and is smaller than 44 × 44 pixels (same guidelines, 2.5.5). */
export function smallTargets(page: Page): Promise<string[]> {
	return page.locator("main button, main a[href], main input, main select").evaluateAll((elements) =>
		elements.flatMap((element) => {
			if (!element.checkVisibility()) return [];
			const { width, height } = (element.closest("label") ?? element).getBoundingClientRect();
			const name = element.textContent?.trim() || element.getAttribute("name") || element.tagName;
			return width >= 44 && height >= 44 ? [] : [`${name}: ${width.toFixed(0)} × ${height.toFixed(0)}`];
		}),
	);
}

/** Pixels by which the page is wider or higher than its window. */
export function overflow(page: Page): Promise<{ readonly x: number; readonly y: number }> {
	return page.evaluate(() => ({
		x: document.documentElement.scrollWidth - innerWidth,
		y: document.documentElement.scrollHeight - innerHeight,
	}));
}

/** Watches for elements that change their place, from now on. */
export async function watchLayout(page: Page): Promise<void> {
	await page.evaluate(() => {
		const moved: string[] = [];
		window.tautlineMoved = moved;
		new PerformanceObserver((list) => {
			for (const entry of list.getEntries() as unknown as LayoutShift[]) {
				for (const { node } of entry.sources) {
					// a centred text that changes begins elsewhere without having moved
					if (node instanceof Element) moved.push(`${node.className}: ${node.textContent}`);
				}
			}
		}).observe({ type: "layout-shift" });
	});
}

/** What has moved since. */
export function moved(page: Page): Promise<readonly string[]> {
	return page.evaluate(() => window.tautlineMoved ?? []);
}

interface LayoutShift {
	readonly sources: readonly { readonly node: Node | null }[];
}

/** Keeps every note that a page plays, without changing it. To be called before the page opens. */
export async function listenForNotes(page: Page): Promise<void> {
	await page.addInitScript(() => {
		const heard: Note[] = [];
		window.tautlineNotes = heard;
		const start = OscillatorNode.prototype.start;
		OscillatorNode.prototype.start = function (when) {
			heard.push({
				hertz: this.frequency.value,
				isRunning: this.context.state === "running",
				wasPressed: navigator.userActivation.hasBeenActive,
			});
			start.call(this, when);
		};
	});
}

export interface Note {
	readonly hertz: number;
	/** Whether it can be heard at once. */
	readonly isRunning: boolean;
	/** Whether somebody had pressed anything on the page before. */
	readonly wasPressed: boolean;
}

export function notesOf(page: Page): Promise<readonly Note[]> {
	return page.evaluate(() => window.tautlineNotes ?? []);
}

declare global {
	interface Window {
		tautlineMoved?: readonly string[];
		tautlineNotes?: readonly Note[];
	}
}
