using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;
using NodaTime;

namespace KitMesh.TripFile.Sections;

/// <summary><c>trip:</c> becomes <see cref="Trip"/>.</summary>
internal sealed class TripSection() : Section("trip", "The trip itself: its days and its civil time.", required: true)
{
    private const int MaxDays = 400;

    private static readonly NameKey Title = new(KitKind.Trip, "ibex in late winter");
    private static readonly DayKey FirstDay = new("firstDay", "First civil day.");
    private static readonly DayKey LastDay = new("lastDay", "Last civil day, on which the energy must still last.");
    private static readonly ZoneKey Zone = new("zone", "The crew's civil time as an offset from UTC, for the whole trip.");
    private static readonly DayKey HandoverDay = new("handoverDay", "The day the footage is handed over. Without the key: the last day.", required: false);

    public override bool IsSingle => true;

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, FirstDay, LastDay, Zone, HandoverDay];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        LocalDate first = entry.Get(FirstDay);
        LocalDate last = entry.Get(LastDay);
        Offset zone = entry.Get(Zone);
        LocalDate? handover = entry.Optional(HandoverDay);
        if (entry.IsSound && last < first)
        {
            entry.Error(LastDay.Name, $"The last day {last:uuuu-MM-dd} is before the first day {first:uuuu-MM-dd}.", "Exchange them, or mend the year.");
        }
        else if (entry.IsSound && Period.DaysBetween(first, last) >= MaxDays)
        {
            entry.Error(LastDay.Name, $"The trip would last {Period.DaysBetween(first, last) + 1} days.", $"A trip has at most {MaxDays} days: mend the year?");
        }
        else if (entry.IsSound && handover < last)
        {
            entry.Error(HandoverDay.Name, "The footage would be handed over before the last day.", "Write the last day or a later one.");
        }

        entry.Add(() => new Trip(id, first, last, zone, handover));
    }
}
