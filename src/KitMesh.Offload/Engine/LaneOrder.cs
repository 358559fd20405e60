namespace KitMesh.Offload.Engine;

/// <summary>One step for a hash or a drive, in the order of the read.</summary>
/// <param name="Step">What to do.</param>
/// <param name="Transfer">The file that it is about.</param>
/// <param name="Buffer">The piece, for <see cref="LaneStep.Piece"/>.</param>
/// <param name="Offset">Where the piece lies in the file.</param>
/// <param name="Length">Bytes of the piece.</param>
/// <param name="Candidates">For <see cref="LaneStep.Adopt"/>: paths that may hold this file already.</param>
/// <param name="Answer">For <see cref="LaneStep.Adopt"/>: set to true when one does.</param>
internal readonly record struct LaneOrder(
    LaneStep Step,
    Transfer Transfer,
    SharedBuffer? Buffer = null,
    long Offset = 0,
    int Length = 0,
    IReadOnlyList<string>? Candidates = null,
    TaskCompletionSource<bool>? Answer = null);
