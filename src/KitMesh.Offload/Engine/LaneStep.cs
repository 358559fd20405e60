namespace KitMesh.Offload.Engine;

/// <summary>Steps of a lane.</summary>
internal enum LaneStep
{
    /// <summary>A file starts.</summary>
    Begin,

    /// <summary>The next piece of it.</summary>
    Piece,

    /// <summary>A small file, whole: begin, its only piece, and end in one. Without a buffer it is empty.</summary>
    Whole,

    /// <summary>It was read whole; its digest is, or soon will be, known.</summary>
    End,

    /// <summary>It could not be read whole: what was written of it must go.</summary>
    Drop,

    /// <summary>Look whether the drive holds the file already under one of some names.</summary>
    Adopt,
}
