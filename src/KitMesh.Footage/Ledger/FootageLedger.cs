using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// Every clip, every copy, its drive, its case, its carrier, and when it was last proven.
/// </summary>
/// <remarks>
/// <para>The problem: reports arrive in any order, twice, days late, from clocks that are wrong, and the question "may this
/// card be formatted" must get the same answer everywhere, and never yes without proof.</para>
/// <para>The trap: a ledger that updates itself report by report concludes too early, and then has to take back what a late
/// report proves wrong.</para>
/// <para>The method: adding a report only files it (a set union, so order and repetition cannot matter); a
/// <see cref="LedgerSnapshot"/> judges everything at once at one moment. When re-timing changes the times of reports, build
/// a new ledger from them: a million clips with four million copies take seconds (<c>kitmesh bench ledger</c>).</para>
/// <para>Reports may be added while snapshots are read; a snapshot does not see them.</para>
/// </remarks>
public sealed class FootageLedger
{
    private readonly LedgerFacts _facts = new();
    private readonly IWriterRights _rights;

    /// <summary>An empty ledger.</summary>
    /// <param name="rights">Whose word counts; null for everybody's.</param>
    public FootageLedger(IWriterRights? rights = null) => _rights = rights ?? EveryWriter.Instance;

    /// <summary>A ledger of these reports.</summary>
    /// <param name="reports">The reports, in any order; kinds that say nothing about footage are passed over.</param>
    /// <param name="rights">Whose word counts; null for everybody's.</param>
    public static FootageLedger Of(IEnumerable<TimedReport> reports, IWriterRights? rights = null)
    {
        var ledger = new FootageLedger(rights);
        foreach (TimedReport report in reports)
        {
            ledger.Add(report);
        }

        return ledger;
    }

    /// <summary>Files a report.</summary>
    /// <param name="report">The report.</param>
    public void Add(TimedReport report) => _facts.Add(report);

    /// <summary>The ledger as it stands now. A report dated later comes from a wrong clock: what it proves does not count, what it disproves does.</summary>
    /// <param name="now">World time.</param>
    public LedgerSnapshot Now(Instant now) => Judge(new Moment(now.ToUnixTimeTicks(), IsPast: false));

    /// <summary>The ledger as it stood at a past moment, with all that is known by now about that time.</summary>
    /// <param name="moment">The moment.</param>
    public LedgerSnapshot At(Instant moment) => Judge(new Moment(moment.ToUnixTimeTicks(), IsPast: true));

    private LedgerSnapshot Judge(Moment moment)
    {
        lock (_facts.Gate)
        {
            return new SnapshotBuild(_facts, moment, _rights).Run();
        }
    }
}
