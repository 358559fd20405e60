using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Footage;
using NodaTime;

namespace KitMesh.Outlook.Plan;

/// <summary>Asks the outlooks about a kit from the first morning, with nothing measured: the same code that answers on the trip.</summary>
internal sealed class PlanWorld
{
    private static readonly OriginId Planner = new(NodeId.Parse("plan"), 1);

    private readonly SiteBook _sites;
    private readonly ulong _seed;

    private readonly ValueList<KitDoubt> _doubts;

    internal PlanWorld(ValueList<KitItem> kit, ulong seed, ValueList<KitDoubt> doubts)
    {
        Kit = kit;
        _doubts = doubts;
        _seed = seed;
        Trip = kit.OfType<Trip>().Single();
        Start = Trip.FirstDay.AtMidnight().WithOffset(Trip.ZoneOffset).ToInstant();
        Days = Period.DaysBetween(Trip.FirstDay, Trip.LastDay) + 1;
        _sites = new SiteBook(Start, Trip.LastDay.PlusDays(1).AtMidnight().WithOffset(Trip.ZoneOffset).ToInstant());
    }

    internal ValueList<KitItem> Kit { get; }

    internal Trip Trip { get; }

    internal Instant Start { get; }

    internal int Days { get; }

    internal EnergyQuestion Question(int paths) => new(Start, Kit, [], [], _seed, paths) { Doubts = _doubts, Caution = PlanCaution.Usual };

    /// <summary>The chance that a bank runs short, with other kit: one roll in steps of an hour, no what-ifs. 1 for a bank without packs.</summary>
    internal double ShortChance(KitId bankId, IEnumerable<KitItem> kit, int paths)
    {
        ValueList<KitItem> items = kit.ToValueList();
        var assumptions = new List<EnergyAssumption>();
        var book = new KitBook(items, Start, assumptions);
        Bank declared = book.Banks.Single(bank => bank.Id == bankId);
        if (BankKit.Of(declared, book, assumptions) is not { } bank)
        {
            return 1;
        }

        EnergyQuestion question = new(Start, items, [], [], _seed, paths) { Doubts = _doubts, Caution = PlanCaution.Usual };
        BankCases cases = EnergyForecaster.Prepare(bank, book, _sites, new ReadingBook([], Start), question, learn: false, assumptions);
        return PathEngine.Run(cases.Coarse(cases.Beliefs.Heater), _seed, paths).ShortByEnd;
    }

    /// <summary>The footage outlook with every drive empty; null without sources or drives.</summary>
    internal FootageOutlook? Footage(IEnumerable<KitItem> kit)
    {
        KitItem[] items = [.. kit];
        if (!items.OfType<FootageSource>().Any() || !items.OfType<Drive>().Any())
        {
            return null;
        }

        IEnumerable<ReportBody> facts =
        [
            .. items.Select(item => new KitDeclared(item)),
            .. items.OfType<Drive>().Select(drive => new DriveState(drive.Id, drive.Capacity, drive.Capacity, DriveHealth.Unknown, null, null)),
        ];
        var ledger = FootageLedger.Of(facts.Select((body, i) => Fact(body, (ulong)i + 1)));
        return FootageOutlooks.Answer(new FootageOutlookQuestion(ledger.Now(Start).Holdings()));
    }

    private TimedReport Fact(ReportBody body, ulong sequence)
    {
        var written = new DeviceTime(Start, new BootId(1), (long)sequence);
        var report = new Report(new ReportKey(Planner, sequence), HybridTime.From(Start.ToUnixTimeMilliseconds(), 0), written, body);
        return new TimedReport(report, Start, ClockTrust.PersonSet);
    }
}
