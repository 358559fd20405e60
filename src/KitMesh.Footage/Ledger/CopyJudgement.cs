using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Footage.Ledger;

/// <summary>What one copy (one clip at one path on one drive) is worth at one moment.</summary>
internal struct CopyJudgement
{
    public DriveView Drive;
    public int Path;
    public long Size;
    public CopyStanding Standing;
    public CopyDoubt Doubt;
    public long ProvenTicks;
    public ReadBackLevel Level;

    /// <summary>The earliest report that bytes were put there.</summary>
    public long MadeTicks;

    /// <summary>The report behind an odd standing, for the list of oddities.</summary>
    public PackedStamp OddStamp;
}
