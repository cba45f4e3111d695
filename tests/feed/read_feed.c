/* Reads iCalendar files with libical and prints what it understood, one event a line:
 *
 *   event FILE UID START END SEQUENCE ALARMS
 *   errors FILE NUMBER          what libical's own check of RFC 5546's tables found, and what it
 *                               could not parse
 *
 * Times are UTC to the second, placed with the VTIMEZONE in the file; a whole day is its date.
 * ALARMS are seconds from the start, joined by commas, or "-".
 * Build: cc read_feed.c -lical -o read_feed
 */
#include <libical/ical.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static void print_time(icalcomponent *calendar, icalproperty *property)
{
    if (property == NULL) {
        printf(" -");
        return;
    }
    struct icaltimetype at = icalvalue_get_datetime(icalproperty_get_value(property));
    icalparameter *tzid = icalproperty_get_first_parameter(property, ICAL_TZID_PARAMETER);
    icaltimezone *zone = icaltimezone_get_utc_timezone();
    if (at.is_date) {
        printf(" %04d-%02d-%02d", at.year, at.month, at.day);
        return;
    }
    if (tzid != NULL) {
        zone = icalcomponent_get_timezone(calendar, icalparameter_get_tzid(tzid));
        if (zone == NULL) {
            printf(" no-zone");
            return;
        }
    } else if (!icaltime_is_utc(at)) {
        printf(" floating");
        return;
    }
    char text[32];
    time_t moment = icaltime_as_timet_with_zone(at, zone);
    strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", gmtime(&moment));
    printf(" %s", text);
}

static void print_alarms(icalcomponent *event)
{
    const char *between = " ";
    icalcomponent *alarm = icalcomponent_get_first_component(event, ICAL_VALARM_COMPONENT);
    if (alarm == NULL)
        printf(" -");
    for (; alarm; alarm = icalcomponent_get_next_component(event, ICAL_VALARM_COMPONENT)) {
        icalproperty *trigger = icalcomponent_get_first_property(alarm, ICAL_TRIGGER_PROPERTY);
        printf("%s%d", between, icaldurationtype_as_int(icalproperty_get_trigger(trigger).duration));
        between = ",";
    }
}

static char *read_whole(const char *name)
{
    FILE *file = fopen(name, "rb");
    char *text;
    long size;
    if (file == NULL || fseek(file, 0, SEEK_END) != 0 || (size = ftell(file)) < 0)
        return NULL;
    rewind(file);
    text = calloc((size_t)size + 1, 1);
    if (text == NULL || fread(text, 1, (size_t)size, file) != (size_t)size)
        return NULL;
    fclose(file);
    return text;
}

int main(int count, char **names)
{
    for (int i = 1; i < count; i++) {
        char *text = read_whole(names[i]);
        icalcomponent *calendar = text ? icalparser_parse_string(text) : NULL;
        if (calendar == NULL) {
            printf("errors %s 1\n", names[i]);
            continue;
        }
        icalrestriction_check(calendar);
        printf("errors %s %d\n", names[i], icalcomponent_count_errors(calendar));
        icalcomponent *event = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT);
        for (; event; event = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT)) {
            printf("event %s %s", names[i], icalcomponent_get_uid(event));
            print_time(calendar, icalcomponent_get_first_property(event, ICAL_DTSTART_PROPERTY));
            print_time(calendar, icalcomponent_get_first_property(event, ICAL_DTEND_PROPERTY));
            printf(" %d", icalcomponent_get_sequence(event));
            print_alarms(event);
            printf("\n");
        }
        icalcomponent_free(calendar);
        free(text);
    }
    return 0;
}
