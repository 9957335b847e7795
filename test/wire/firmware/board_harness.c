/* Lets a test drive the firmware header over stdin: each line asks for one thing, each answer is one line.
 *   read LINE            what the board makes of a host's line, given to it byte by byte
 *   hello …, status …    the line that the board writes; arguments as in the header, readings last */
#include "../../../core/wire/firmware/tautline_board.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST 4096

static void put(void *to, const char *bytes, size_t count)
{
	fwrite(bytes, 1, count, (FILE *)to);
}

static char *words[MOST + 16];
static size_t word_count;

static uint32_t whole(size_t at)
{
	return (uint32_t)strtoul(words[at], NULL, 10);
}

static size_t readings_from(size_t first, int32_t *readings)
{
	size_t i;
	for (i = first; i < word_count; i++) readings[i - first] = (int32_t)strtol(words[i], NULL, 10);
	return word_count - first;
}

static void say_read(const char *line)
{
	tautline_in in = { { 0 }, 0, 0 };
	tautline_command command = { 0, TAUTLINE_HELLO, 0, 0, TAUTLINE_BUSY };
	const char *at;
	for (at = line; *at != '\0'; at++) {
		if (tautline_read_byte(&in, *at, &command) != TAUTLINE_NOTHING) printf("answered too early ");
	}
	switch (tautline_read_byte(&in, '\n', &command)) {
	case TAUTLINE_NOTHING:
		printf("nothing\n");
		break;
	case TAUTLINE_COMMAND:
		printf("command %lu %d %d %.17g\n", (unsigned long)command.id, (int)command.verb, command.band, command.value);
		break;
	case TAUTLINE_REFUSE:
		printf("refuse %lu %d\n", (unsigned long)command.id, (int)command.refusal);
		break;
	}
}

static void say_frame(tautline_out *out)
{
	static int32_t wide[MOST];
	static int16_t narrow[MOST];
	static float real[MOST];
	const char *encoding = words[5];
	size_t count = readings_from(6, wide);
	size_t i;
	for (i = 0; i < count; i++) {
		narrow[i] = (int16_t)wide[i];
		real[i] = strtof(words[6 + i], NULL);
	}
	if (strcmp(encoding, "i16") == 0) {
		tautline_frame_i16(out, (uint8_t)whole(1), (uint16_t)whole(2), whole(3), whole(4), narrow, count);
	} else if (strcmp(encoding, "i24") == 0) {
		tautline_frame_i24(out, (uint8_t)whole(1), (uint16_t)whole(2), whole(3), whole(4), wide, count);
	} else if (strcmp(encoding, "i32") == 0) {
		tautline_frame_i32(out, (uint8_t)whole(1), (uint16_t)whole(2), whole(3), whole(4), wide, count);
	} else if (strcmp(encoding, "f32") == 0) {
		tautline_frame_f32(out, (uint8_t)whole(1), (uint16_t)whole(2), whole(3), whole(4), real, count);
	} else {
		tautline_frame_decimal(out, (uint8_t)whole(1), (uint16_t)whole(2), whole(3), whole(4), wide, count);
	}
}

static void say_line(tautline_out *out)
{
	const char *what = words[0];
	if (strcmp(what, "hello") == 0) {
		tautline_hello(out, whole(1), whole(2), whole(3), (int)whole(4), words[5], words[6], words[7]);
	} else if (strcmp(what, "ability") == 0) {
		tautline_ability(out, whole(1), whole(2), whole(3), whole(4), whole(5), whole(6), words[7], words[8]);
	} else if (strcmp(what, "configuration") == 0) {
		tautline_configuration c;
		c.number = (uint16_t)whole(1);
		c.band = (uint8_t)whole(2);
		c.electrodes = (uint8_t)whole(3);
		c.drive = words[4];
		c.terminals = (uint8_t)whole(5);
		c.readings = (uint16_t)whole(6);
		c.microamp = whole(7);
		c.hertz = whole(8);
		c.gain = words[9];
		c.volts_per_unit = words[10];
		c.full_scale = words[11];
		tautline_configure(out, &c);
	} else if (strcmp(what, "list") == 0) {
		static uint8_t terminals[MOST];
		size_t i;
		for (i = 4; i < word_count; i++) terminals[i - 4] = (uint8_t)whole(i);
		tautline_list(out, (uint16_t)whole(1), (uint8_t)whole(2), (uint16_t)whole(3), terminals, (word_count - 4) / 4);
	} else if (strcmp(what, "list-across") == 0) {
		/* Band and electrode in turn. */
		static uint8_t bands[MOST];
		static uint8_t terminals[MOST];
		size_t count = (word_count - 4) / 2;
		size_t i;
		for (i = 0; i < count; i++) {
			bands[i] = (uint8_t)whole(4 + 2 * i);
			terminals[i] = (uint8_t)whole(5 + 2 * i);
		}
		tautline_list_across(out, (uint16_t)whole(1), (uint8_t)whole(2), (uint16_t)whole(3), bands, terminals, count / 4);
	} else if (strcmp(what, "status") == 0) {
		int battery = strcmp(words[4], "-") == 0 ? TAUTLINE_UNKNOWN_BATTERY : (int)whole(4);
		tautline_status(out, (uint8_t)whole(1), whole(2), (tautline_activity)whole(3), battery);
	} else if (strcmp(what, "contacts") == 0) {
		static uint32_t ohm[MOST];
		size_t i;
		for (i = 3; i < word_count; i++) {
			ohm[i - 3] = strcmp(words[i], "-") == 0 ? TAUTLINE_UNKNOWN_CONTACT : whole(i);
		}
		tautline_contacts(out, (uint8_t)whole(1), whole(2), ohm, word_count - 3);
	} else if (strcmp(what, "acknowledge") == 0) {
		tautline_acknowledge(out, whole(1));
	} else if (strcmp(what, "refuse") == 0) {
		tautline_refuse(out, whole(1), (tautline_refusal)whole(2));
	} else if (strcmp(what, "frame") == 0) {
		say_frame(out);
	} else {
		printf("unknown request %s\n", what);
	}
}

int main(void)
{
	static char request[1 << 17];
	tautline_out out = { put, NULL, 0 };
	out.to = stdout;
	while (fgets(request, sizeof request, stdin) != NULL) {
		char *word;
		request[strcspn(request, "\n")] = '\0';
		if (strncmp(request, "read ", 5) == 0) {
			say_read(request + 5);
			continue;
		}
		word_count = 0;
		for (word = strtok(request, " "); word != NULL; word = strtok(NULL, " ")) words[word_count++] = word;
		if (word_count > 0) say_line(&out);
	}
	return 0;
}
