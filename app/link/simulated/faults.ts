/** What can go wrong between a band and its host, each shown by one command of the simulator. */

export interface SimulatedFault {
	/** What happens, and what the host should say to it. */
	readonly does: string;
	/** It plays with the host's end of the cable, which is known only where the simulator has made the cable. */
	readonly needsCable?: true;
	/** Seen before anybody has connected, so it begins at once unless told otherwise. */
	readonly atOnce?: true;
}

export const simulatedFaults = {
	unplug: {
		does: "the cable comes out and goes in again; the board starts afresh. The host reconnects and goes on.",
	},
	sleep: {
		does: "nothing is carried, as while a computer sleeps or a radio is out of reach; the board's clock and counting go on. The host says that nothing arrives, and goes on with a gap.",
	},
	"battery-dying": {
		does: "the charge falls, the bands stop, the board is silent; then it is back, charged. The host warns below 15 %, says that the battery is empty, and goes on.",
	},
	reset: {
		does: "the board starts afresh in the middle of a frame. The host drops the half frame and goes on.",
	},
	"wrong-baud": {
		does: "the board talks at half the speed that --baud says the host listens at. The host says to check the speed, and which it looks like.",
		atOnce: true,
	},
	"second-band": {
		does: "another band talks on the same line. The host stops both, uses nothing of either, and goes on when one is gone.",
	},
	"swapped-band": {
		does: "another band is plugged in in this one's place, and then this one again. The host records nothing of the other.",
	},
	"port-stolen": {
		does: "another program holds the port. The host says to close it, and goes on when it is free.",
		needsCable: true,
	},
	"permission-denied": {
		does: "the port may not be opened (no use against a host that runs as root). The host names the group to join.",
		needsCable: true,
	},
	noise: {
		does: "a third of the lines is damaged and a third lost. The host goes on, and counts them by cause.",
	},
	drowned: {
		does: "no line comes through whole. The host says that the line is too disturbed, and goes on afterwards.",
	},
} as const satisfies Record<string, SimulatedFault>;

export type SimulatedFaultName = keyof typeof simulatedFaults;

export function isFaultName(name: string): name is SimulatedFaultName {
	return Object.hasOwn(simulatedFaults, name);
}
