using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Disk;

namespace KitMesh.Sync.Journal;

/// <summary>How an append ended. The set is closed.</summary>
public abstract record AppendResult
{
    private AppendResult()
    {
    }

    /// <summary>Every report of the batch would survive loss of power now: it may be acknowledged.</summary>
    /// <param name="Written">How many were new.</param>
    /// <param name="Duplicates">How many were here already, byte for byte (or dropped on purpose before).</param>
    /// <param name="Forks">Keys that stood already with other content; both are kept.</param>
    /// <param name="ForksLeftOut">Forks past <see cref="JournalOptions.MaxForksPerOrigin"/>, which were not kept.</param>
    /// <param name="End">The end of the journal after this batch.</param>
    public sealed record Durable(int Written, int Duplicates, ValueList<ReportKey> Forks, int ForksLeftOut, JournalPosition End) : AppendResult;

    /// <summary>Nothing of the batch may be acknowledged. The journal stays usable: a later append mends it first, or fails again.</summary>
    /// <param name="Fault">What the disk said.</param>
    public sealed record Failed(DiskFault Fault) : AppendResult;

    /// <summary>The batch breaks a bound and was not touched: send less, or a sound report.</summary>
    /// <param name="Reason">Which bound, in words.</param>
    public sealed record Refused(string Reason) : AppendResult;
}
