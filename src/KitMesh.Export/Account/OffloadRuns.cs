using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Export.Account;

// Problem: how long each card took and what it cost, from reports that were not written for that.
// Trap: a copy's report names no card, and the same clip may lie on two cards; a proof weeks later is a recheck, not an offload.
// Method: a visit begins with CardSeen; its clips are those found under its name by the same station; a proof that is no recheck belongs to the latest visit of
// that station in which its clip was found. The station's energy is that of the load that is called like its node ("base station" for base-station).

/// <summary>Visits of cards with times and energy.</summary>
internal static class OffloadRuns
{
    private sealed class Visit(NodeId station, CardSeen seen, Instant begin)
    {
        public NodeId Station => station;

        public KitId Card => seen.Card;

        public Instant Begin { get; } = begin;

        public Instant End { get; set; } = begin;

        public HashSet<ClipHash> Clips { get; } = [];

        public int Copies { get; set; }

        public long Bytes { get; set; }
    }

    internal static IEnumerable<OffloadRun> Of(IEnumerable<TimedReport> events, KitItem[] kit, ILookup<KitId, TimedReading> loads, ScopeSpan span)
    {
        var visits = new List<Visit>();
        var open = new Dictionary<(NodeId Station, KitId Insertion), Visit>();
        var latest = new Dictionary<(NodeId Station, ClipHash Clip), Visit>();
        foreach (TimedReport timed in events)
        {
            NodeId station = timed.Report.Key.Origin.Node;
            switch (timed.Report.Body)
            {
                case CardSeen seen when !open.ContainsKey((station, seen.Insertion)):
                    var visit = new Visit(station, seen, timed.Time);
                    visits.Add(visit);
                    open.Add((station, seen.Insertion), visit);
                    break;
                case ClipFound clip when open.TryGetValue((station, clip.Insertion), out Visit? its):
                    latest[(station, clip.Clip)] = its;
                    break;
                case CopyVerified { Recheck: false } proof when latest.TryGetValue((station, proof.Clip), out Visit? its):
                    its.End = timed.Time;
                    its.Clips.Add(proof.Clip);
                    its.Copies++;
                    its.Bytes += proof.Size.Value;
                    break;
            }
        }

        foreach (Visit visit in visits.Where(visit => visit.Copies > 0 && span.Holds(visit.Begin) && span.IsOurs(visit.Card.Value, visit.Station.Value)))
        {
            yield return new OffloadRun(
                visit.Station, visit.Card, visit.Begin, visit.End, visit.Clips.Count, visit.Copies, new ByteCount(visit.Bytes), Energy(visit, kit, loads));
        }
    }

    private static WattHours? Energy(Visit visit, KitItem[] kit, ILookup<KitId, TimedReading> loads)
    {
        string name = visit.Station.Value.Replace('-', ' ');
        if (kit.OfType<Load>().FirstOrDefault(load => string.Equals(load.Id.Value, name, StringComparison.OrdinalIgnoreCase)) is not { } own)
        {
            return null;
        }

        double sum = 0;
        bool any = false;
        (Instant Time, LoadReading Body)? before = null;
        foreach (TimedReading reading in loads[own.Id].OrderBy(reading => reading.Time))
        {
            var body = (LoadReading)reading.Body;
            if (before is { } last && last.Time < visit.End && reading.Time > visit.Begin && Between(last, (reading.Time, body)) is { } wattHours)
            {
                double inside = (Instant.Min(reading.Time, visit.End) - Instant.Max(last.Time, visit.Begin)).TotalHours;
                sum += wattHours * inside / (reading.Time - last.Time).TotalHours;
                any = true;
            }

            before = (reading.Time, body);
        }

        return any ? new WattHours(sum) : null;
    }

    private static double? Between((Instant Time, LoadReading Body) a, (Instant Time, LoadReading Body) b)
    {
        double hours = (b.Time - a.Time).TotalHours;
        return hours is <= 0 or > 2 ? null
            : a.Body.EnergyTotal is { } first && b.Body.EnergyTotal is { } second && second.Value >= first.Value ? second.Value - first.Value
            : a.Body.Watts is { } from && b.Body.Watts is { } to ? (from.Value + to.Value) / 2 * hours
            : null;
    }
}
