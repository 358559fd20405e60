using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;

namespace KitMesh.Domain.Exchange;

/// <summary>The first frame of each side.</summary>
/// <param name="LowestVersion">The lowest protocol version that the sender speaks.</param>
/// <param name="HighestVersion">The highest.</param>
/// <param name="Node">Who speaks.</param>
/// <param name="Role">What it is.</param>
/// <param name="Software">Its software, for people.</param>
/// <param name="FoldVersion">Version of the fold behind its state fingerprint; 0 for none.</param>
/// <param name="CreditBytes">How many bytes of reports it takes now.</param>
/// <param name="Clock">Its clocks as it says this.</param>
/// <param name="ClockTrust">How far its wall clock can be believed.</param>
/// <param name="Hybrid">Its hybrid clock.</param>
public sealed record HelloFrame(
    uint LowestVersion,
    uint HighestVersion,
    NodeId Node,
    NodeRole Role,
    string Software,
    uint FoldVersion,
    long CreditBytes,
    DeviceTime Clock,
    ClockTrust ClockTrust,
    HybridTime Hybrid) : SessionFrame;
