namespace KitMesh.Models.Panel;

/// <summary>Models that turn level diffuse light into diffuse light on a tilted plane.</summary>
public enum Transposition
{
    /// <summary>The sky is equally bright everywhere. Liu and Jordan; the least on clear days.</summary>
    Isotropic = 0,

    /// <summary>Hay and Davies: part of the diffuse light comes from around the sun.</summary>
    HayDavies = 1,

    /// <summary>Perez 1990: bright ring around the sun and bright or dark band at the horizon.</summary>
    Perez = 2,
}
