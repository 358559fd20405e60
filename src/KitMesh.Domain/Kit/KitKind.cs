namespace KitMesh.Domain.Kit;

/// <summary>The kinds of declared things. The numbers are on the wire and are never reused.</summary>
public enum KitKind
{
    /// <summary>Not known to this version.</summary>
    Unknown = 0,

    /// <summary><see cref="Kit.Trip"/>.</summary>
    Trip = 1,

    /// <summary><see cref="Kit.Place"/>.</summary>
    Place = 2,

    /// <summary><see cref="Kit.Team"/>.</summary>
    Team = 3,

    /// <summary><see cref="Kit.Person"/>.</summary>
    Person = 4,

    /// <summary><see cref="Kit.CalendarDay"/>.</summary>
    CalendarDay = 5,

    /// <summary><see cref="Kit.Bank"/>.</summary>
    Bank = 6,

    /// <summary><see cref="Kit.Pack"/>.</summary>
    Pack = 7,

    /// <summary><see cref="Kit.Box"/>.</summary>
    Box = 8,

    /// <summary><see cref="Kit.Panel"/>.</summary>
    Panel = 9,

    /// <summary><see cref="Kit.Load"/>.</summary>
    Load = 10,

    /// <summary><see cref="Kit.Outlet"/>.</summary>
    Outlet = 11,

    /// <summary><see cref="Kit.FootageSource"/>.</summary>
    FootageSource = 12,

    /// <summary><see cref="Kit.Card"/>.</summary>
    Card = 13,

    /// <summary><see cref="Kit.Drive"/>.</summary>
    Drive = 14,

    /// <summary><see cref="Kit.Case"/>.</summary>
    Case = 15,

    /// <summary><see cref="Kit.CopyRule"/>.</summary>
    CopyRule = 16,

    /// <summary><see cref="Kit.WatchedAgent"/>.</summary>
    WatchedAgent = 17,

    /// <summary><see cref="Kit.LossFigure"/>.</summary>
    LossFigure = 18,

    /// <summary><see cref="Kit.SharedDanger"/>.</summary>
    SharedDanger = 19,

    /// <summary><see cref="Kit.WeatherLine"/>.</summary>
    WeatherLine = 20,

    /// <summary><see cref="Kit.PanelHabit"/>.</summary>
    PanelHabit = 21,
}
