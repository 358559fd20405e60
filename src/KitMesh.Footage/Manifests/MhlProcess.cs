namespace KitMesh.Footage.Manifests;

/// <summary>What an ASC MHL manifest was made for.</summary>
public enum MhlProcess
{
    /// <summary>The files were hashed where they lie.</summary>
    InPlace = 0,

    /// <summary>The files were copied.</summary>
    Transfer = 1,

    /// <summary>A history was gathered into one list.</summary>
    Flatten = 2,
}
