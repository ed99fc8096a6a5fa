using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using CsvHelper;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Roster;

/// <summary>The nine files of a roster folder, written row by row.</summary>
internal sealed class RosterFiles : IDisposable
{
    private readonly List<RosterFile> _files = [];

    public RosterFiles(string folder)
    {
        Directory.CreateDirectory(folder);
        RosterFile Open(string name, string columns)
        {
            var file = new RosterFile(folder, name, columns);
            _files.Add(file);
            return file;
        }

        Sites = Open("sites.csv", "site_id,name,time_zone,closed_weekdays,closed_on,carrier_closed_on,calendar_known_through,staff_email,pharmacist_email,phone");
        Patients = Open("patients.csv", "patient_id,name,site_id,born_on,phone,email,email_agreed_on,email_opted_out_on,status,language,time_zone,handover");
        Products = Open("products.csv", "product_id,drug,kind,unit,amount_per_ml,amount_per_container,volume_ml,dose_amount,in_use_days,in_use_count,dial_step,dial_max,prime_ml,first_prime_ml,beyond_use_days,prepare_open_days,cold,hazardous,max_dose,min_every_days,size_of,check_prompts");
        Devices = Open("devices.csv", "device_id,name,capacity_ml,graduation_ml,marked_in,units_per_ml,dead_space_ml,sharps_per_injection");
        Courses = Open("courses.csv", "course_id,patient_id,started_on,device_id,expelled_ml,fill_days,early_fill_percent");
        Steps = Open("steps.csv", "course_id,ladder,step,product_id,doses,every_days,dose_days,needs_check,device_id,expelled_ml");
        Prescriptions = Open("prescriptions.csv", "rx_id,course_id,issued_on,refills_authorized,valid_through,schedule,prescriber,prescriber_phone");
        Facts = Open("facts.csv", "fact_id,course_id,kind,on,product_id,containers,volume_ml,expires_on,lot,until,opened_on,step,days_supply,note");
        Sharps = Open("sharps.csv", "sharps_id,patient_id,capacity_sharps,issued_on,returned_on,written_off_on,container_class");
    }

    public RosterFile Sites { get; }

    public RosterFile Patients { get; }

    public RosterFile Products { get; }

    public RosterFile Devices { get; }

    public RosterFile Courses { get; }

    public RosterFile Steps { get; }

    public RosterFile Prescriptions { get; }

    public RosterFile Facts { get; }

    public RosterFile Sharps { get; }

    /// <summary>How many rows each file has.</summary>
    public override string ToString() => string.Join(", ", _files.Select(file => $"{file.Name} {file.Rows}"));

    public void Dispose() => _files.ForEach(file => file.Dispose());
}

/// <summary>One file: named columns, rows of cells given by name.</summary>
internal sealed class RosterFile : IDisposable
{
    private readonly string[] _columns;
    private readonly CsvWriter _writer;
    private int _nextLine = 1;

    public RosterFile(string folder, string name, string columns)
    {
        Name = name;
        _columns = columns.Split(',');
        _writer = CsvWriter.Create(new FileStream(Path.Combine(folder, name), FileMode.Create, FileAccess.Write), new CsvWriterOptions());
        Write(_columns);
        Rows = 0;
    }

    public string Name { get; }

    public int Rows { get; private set; }

    /// <summary>Adds a row. A cell that is not named, or is null, stays empty.</summary>
    /// <returns>The line on which the row begins; the header is line 1.</returns>
    public int Add(params ReadOnlySpan<(string Column, object? Value)> cells)
    {
        var row = new string[_columns.Length];
        Array.Fill(row, "");
        foreach (var (column, value) in cells)
        {
            var place = Array.IndexOf(_columns, column);
            if (place < 0)
                throw new ArgumentException($"{Name} has no column {column}.", nameof(cells));
            row[place] = Written(value);
        }

        return Write(row);
    }

    public void Dispose() => _writer.Dispose();

    private int Write(string[] cells)
    {
        var line = _nextLine;
        _writer.WriteRecord(cells);
        _nextLine += 1 + cells.Sum(cell => cell.Count(letter => letter == '\n'));
        Rows++;
        return line;
    }

    private static string Written(object? value) => value switch
    {
        null => "",
        string text => text,
        bool flag => flag ? "yes" : "no",
        int number => number.ToString(CultureInfo.InvariantCulture),
        decimal number => number.ToString("0.######", CultureInfo.InvariantCulture),
        LocalDate date => LocalDatePattern.Iso.Format(date),
        _ => throw new ArgumentException($"A cell cannot hold a {value.GetType().Name}.", nameof(value)),
    };
}
