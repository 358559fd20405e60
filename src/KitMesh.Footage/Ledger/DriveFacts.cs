using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>Every report about one drive label.</summary>
/// <param name="Number">The label's number in the ledger's table.</param>
/// <param name="Drive">The label.</param>
internal sealed record DriveFacts(int Number, KitId Drive)
{
    public List<(PackedStamp Stamp, DriveState Fact)> States { get; } = [];

    /// <summary>Failures of files whose clip the station could not tell, by path.</summary>
    public List<(PackedStamp Stamp, CopyFailed Fact)> NamelessFailures { get; } = [];
}
