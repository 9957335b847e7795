import type { Result } from "../../core/result.ts";
import type { BoardIdentity, DriveConfiguration, Frame } from "../../core/wire/frame.ts";
import type { Fault, LinkState } from "../contract.ts";

export type BoardCommand =
	| { readonly command: "start" }
	| { readonly command: "stop" }
	| { readonly command: "set-current"; readonly milliamp: number }
	| { readonly command: "set-frequency"; readonly hertz: number }
	| { readonly command: "set-gain"; readonly gain: number }
	| { readonly command: "contact-check" };

export interface BoardStatus {
	readonly bandIndex: number;
	readonly batteryPercent: number | null;
}

/** What happens on a link. A frame is valid only during the call: copy what is kept. */
export interface FrameSourceEvents {
	onState(state: LinkState): void;
	onBoard(board: BoardIdentity): void;
	onConfiguration(configuration: DriveConfiguration): void;
	/** `receivedAt`: ms since the epoch when the line's last byte arrived; `lostBefore`: frames missing just before. */
	onFrame(frame: Frame, receivedAt: number, lostBefore: number): void;
	/** Contact impedance of each electrode, ohm; NaN where unreadable. */
	onContacts(bandIndex: number, ohm: Float64Array): void;
	onStatus(status: BoardStatus): void;
}

export interface LinkCounters {
	readonly frames: number;
	readonly lost: number;
	readonly bad: Readonly<Record<string, number>>;
}

/** Anything frames come from: a serial board, the simulated band, a recorded session. */
export interface FrameSource {
	/** Connects and keeps reconnecting until disposed; every change is told through the events. */
	open(): Promise<void>;
	/** Resolves with the board's acknowledgement, its refusal or its silence. */
	send(command: BoardCommand): Promise<Result<null, Fault>>;
	counters(): LinkCounters;
	dispose(): Promise<void>;
}
