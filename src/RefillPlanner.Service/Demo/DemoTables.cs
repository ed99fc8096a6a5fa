using System;
using System.Collections.Generic;

namespace RefillPlanner.Service.Demo;

/// <summary>The nine files of a roster folder, with the columns that the roster format names.</summary>
internal sealed class DemoTables
{
    /// <summary>sites.csv.</summary>
    public DemoTable Sites { get; } = new("site_id,name,time_zone,closed_weekdays,closed_on,carrier_closed_on,calendar_known_through,staff_email,pharmacist_email,manager_email,sender_email,phone,emergency_number,sharps_return,sharps_return_es");

    /// <summary>patients.csv.</summary>
    public DemoTable Patients { get; } = new("patient_id,name,site_id,born_on,phone,email,email_agreed_on,email_opted_out_on,status,language,time_zone,handover");

    /// <summary>products.csv.</summary>
    public DemoTable Products { get; } = new("product_id,drug,kind,unit,amount_per_ml,amount_per_container,volume_ml,dose_amount,in_use_days,in_use_count,dial_step,dial_max,prime_ml,first_prime_ml,beyond_use_days,prepare_open_days,cold,hazardous,max_dose,min_every_days,size_of,label_en,label_es,check_prompts");

    /// <summary>devices.csv.</summary>
    public DemoTable Devices { get; } = new("device_id,name,capacity_ml,graduation_ml,marked_in,units_per_ml,dead_space_ml,sharps_per_injection");

    /// <summary>courses.csv.</summary>
    public DemoTable Courses { get; } = new("course_id,patient_id,started_on,device_id,expelled_ml,fill_days,early_fill_percent");

    /// <summary>steps.csv.</summary>
    public DemoTable Steps { get; } = new("course_id,ladder,step,product_id,doses,every_days,dose_days,needs_check,device_id,expelled_ml");

    /// <summary>prescriptions.csv.</summary>
    public DemoTable Prescriptions { get; } = new("rx_id,course_id,issued_on,refills_authorized,valid_through,schedule,prescriber,prescriber_phone");

    /// <summary>facts.csv.</summary>
    public DemoTable Facts { get; } = new("fact_id,course_id,kind,on,product_id,containers,volume_ml,expires_on,lot,until,opened_on,step,days_supply,note");

    /// <summary>sharps.csv.</summary>
    public DemoTable Sharps { get; } = new("sharps_id,patient_id,capacity_sharps,issued_on,returned_on,written_off_on,container_class");

    /// <summary>File name to content.</summary>
    public IReadOnlyDictionary<string, string> Write() => new SortedDictionary<string, string>(StringComparer.Ordinal)
    {
        ["sites.csv"] = Sites.ToString(),
        ["patients.csv"] = Patients.ToString(),
        ["products.csv"] = Products.ToString(),
        ["devices.csv"] = Devices.ToString(),
        ["courses.csv"] = Courses.ToString(),
        ["steps.csv"] = Steps.ToString(),
        ["prescriptions.csv"] = Prescriptions.ToString(),
        ["facts.csv"] = Facts.ToString(),
        ["sharps.csv"] = Sharps.ToString(),
    };
}
