using KitMesh.Alerts;
using KitMesh.Alerts.Inputs;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Sync.Seals;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>Puts together what the alert rules look at, from everything that a hub knows.</summary>
internal static class AlertInputsBuilder
{
    /// <summary>The inputs at one moment.</summary>
    /// <param name="now">World time.</param>
    /// <param name="state">The merged state.</param>
    /// <param name="pictures">The newest values of each pack.</param>
    /// <param name="ledger">The footage ledger.</param>
    /// <param name="failed">Copies that failed and have not been made good.</param>
    /// <param name="footage">The footage outlook, up to some hours old; null without a trip.</param>
    /// <param name="doubts">How far the nodes' times may themselves be off.</param>
    /// <param name="seals">What seals attest; null where nobody looks at them.</param>
    public static AlertInputs Build(
        Instant now,
        TripState state,
        IReadOnlyDictionary<KitId, PackPicture> pictures,
        LedgerView ledger,
        IReadOnlyList<FailedCopy> failed,
        FootageOutlook? footage,
        ClockDoubts doubts,
        SealStanding? seals = null)
    {
        Offset zone = state.KitOf<Trip>().FirstOrDefault()?.ZoneOffset ?? Offset.Zero;
        return new AlertInputs(now)
        {
            Zone = zone,
            Packs = [.. Packs(now, state, pictures)],
            Agents = [.. Agents(state, doubts)],
            Drives =
            [
                .. state.Drives.Values.Select(drive => new DriveCondition(drive.Body.Drive, drive.Body.Capacity, drive.Body.Free, drive.Time, PerDay(footage, drive.Body.Drive))),
            ],
            FailedCopies = failed,
            Ledger = ledger,
            Footage = footage,
            Nightfalls = Nightfalls(now, state, zone),
            HeldCards = [.. ledger.Cards.Select(Held).OfType<HeldCard>()],
            Clips = [.. ledger.Oddities.Select(oddity => new ClipTrouble(oddity.Subject, oddity.Message, oddity.Time))],
            FaultyReaders =
            [
                .. state.StandingFaults.Select(fault => new FaultyReader(
                    fault.Key.Node,
                    fault.Key.Reader,
                    fault.Value.Body.Subject,
                    fault.Value.Body.Message,
                    fault.Value.Time)),
            ],
            Forks =
            [
                .. state.Forks.Keys
                    .GroupBy(key => key.Origin)
                    .Select(forks => new ForkedOrigin(forks.Key, forks.Min(key => key.Sequence), forks.Count())),
            ],
            DoubtfulOrigins = [.. (seals ?? SealStanding.Nothing).Faults.Select(fault => new DoubtfulOrigin(fault.Origin, fault.First, fault.Last, fault.WrongSignature))],
        };
    }

    /// <summary>What the footage outlook expects to come to a drive each day; null where it expects nothing.</summary>
    private static ByteCount? PerDay(FootageOutlook? footage, KitId drive) =>
        footage?.Drives.FirstOrDefault(fill => fill.Drive == drive) is { GigabytesPerDay: > 0 } fill ? ByteCount.FromGigabytes(fill.GigabytesPerDay) : null;

    private static Dictionary<KitId, Instant> Nightfalls(Instant now, TripState state, Offset zone)
    {
        Dictionary<KitId, Place> places = state.KitOf<Place>().ToDictionary(place => place.Id);
        return state.KitOf<Team>().ToDictionary(team => team.Id, team => LastNightfall.Before(now, places.GetValueOrDefault(team.Home), zone));
    }

    private static IEnumerable<PackCondition> Packs(Instant now, TripState state, IReadOnlyDictionary<KitId, PackPicture> pictures)
    {
        Pack[] declared = [.. state.KitOf<Pack>()];
        Dictionary<KitId, Bank> banks = state.KitOf<Bank>().ToDictionary(bank => bank.Id);
        Dictionary<KitId, Box> boxes = state.KitOf<Box>().ToDictionary(box => box.Id);
        foreach ((KitId id, PackPicture picture) in pictures)
        {
            if ((declared.FirstOrDefault(pack => pack.Id == id) ?? BankAsPack.From(id, declared)) is not { } pack)
            {
                continue;
            }

            Bank? bank = banks.GetValueOrDefault(pack.Bank ?? id);
            Box? box = bank?.Box is { } boxId ? boxes.GetValueOrDefault(boxId) : null;
            yield return picture.At(pack, now) with
            {
                Box = box,
                Ambient = bank is null ? null : Ambient(now, state, bank),
                NextCharging = bank is not null && Home(state, bank) is { } home ? NextSun.After(now, home) : null,
            };
        }
    }

    private static Place? Home(TripState state, Bank bank)
    {
        KitId? home = state.KitOf<Team>().FirstOrDefault(team => team.Id == bank.Team)?.Home;
        return state.KitOf<Place>().FirstOrDefault(place => place.Id == home);
    }

    /// <summary>The newest thermometer that stands for the air where the bank's team lives.</summary>
    private static Celsius? Ambient(Instant now, TripState state, Bank bank)
    {
        KitId? home = state.KitOf<Team>().FirstOrDefault(team => team.Id == bank.Team)?.Home;
        return state.Temperatures.Values
            .Where(reading => reading.Body.Subject == home && reading.Body.Temperature.IsPhysical && now - reading.Time <= PackPicture.Fresh)
            .OrderByDescending(reading => reading.Stamp)
            .Select(reading => (Celsius?)reading.Body.Temperature)
            .FirstOrDefault();
    }

    private static IEnumerable<AgentCondition> Agents(TripState state, ClockDoubts doubts)
    {
        Trip? trip = state.KitOf<Trip>().FirstOrDefault();
        Instant since = trip is null ? Instant.MaxValue : trip.FirstDay.AtMidnight().WithOffset(trip.ZoneOffset).ToInstant();
        foreach (WatchedAgent agent in state.KitOf<WatchedAgent>())
        {
            NodeSeen? seen = state.Nodes.GetValueOrDefault(agent.Node);
            yield return new AgentCondition(agent.Node, seen?.LastHeard, since, agent.SilentAfter, seen?.ClockAhead, seen?.Trust ?? default, doubts.Of(agent.Node));
        }
    }

    private static HeldCard? Held(CardRow card) => card.State switch
    {
        CardState.OnHold when card is { HoldSince: { } since, Evening: { } evening } => new HeldCard(card.Card, since, evening, card.Reason, Formatted: false),
        CardState.FormattedShort when card.FormattedAt is { } at => new HeldCard(card.Card, card.LastSeen ?? at, at, card.Reason, Formatted: true),
        _ => null,
    };
}
