namespace KitMesh.Domain.Results;

/// <summary>How much an alert asks of people, least first.</summary>
public enum AlertWeight
{
    /// <summary>Good to know; look at it today.</summary>
    Know = 0,

    /// <summary>Somebody must do something soon, or gear, energy or footage suffers.</summary>
    Act = 1,

    /// <summary>People can be hurt or cells ruined: do something now.</summary>
    Danger = 2,
}
