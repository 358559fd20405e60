namespace KitMesh.Domain.Kit;

/// <summary>How much a load matters, most first.</summary>
public enum LoadClass
{
    /// <summary>Lives depend on it: satellite messenger, radio, headlamps. Keeps a reserve that nothing may spend.</summary>
    LifeSafety = 0,

    /// <summary>The job stops without it: camera, recorder, station.</summary>
    Work = 1,

    /// <summary>It can wait.</summary>
    Comfort = 2,
}
